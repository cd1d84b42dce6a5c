//! The `beadtally` command.

/// Reading a large mesh takes and gives back memory a hundred times its own size in small pieces; an allocator that keeps pages
/// for the next of them saves more time there than any other single step (`benches/reading.rs`).
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> std::process::ExitCode {
    beadtally::cli::main()
}
