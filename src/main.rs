//! The `beadtally` command.

fn main() -> std::process::ExitCode {
    beadtally::cli::main()
}
