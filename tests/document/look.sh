#!/bin/bash
# Looks at the documents of a quote: pages of the PDF by pdftoppm, the page by a headless browser, both held against the pictures in
# looks/; the page read by an HTML validator, the words of the PDF by pdftotext. Not part of `cargo test`.
#
#   tests/document/look.sh                   compares
#   WRITE_LOOKS=1 tests/document/look.sh     writes the pictures anew, to be looked at before they are committed
#   BEADTALLY=path/to/beadtally              uses that command instead of building one
set -euo pipefail
cd "$(dirname "$0")/../.."

missing=()
for tool in pdftoppm:poppler-utils chromium:chromium tidy:tidy fc-match:fontconfig; do
    command -v "${tool%%:*}" > /dev/null || missing+=("${tool##*:}")
done
fc-match 'DejaVu Sans' 2> /dev/null | grep -q DejaVuSans || missing+=(fonts-dejavu-core)
if [ ${#missing[@]} -gt 0 ]; then
    if [ "$(id -u)" != 0 ] || ! command -v apt-get > /dev/null; then
        echo "skipped: ${missing[*]} not installed, and only root can install them"
        exit 0
    fi
    apt-get update -qq && apt-get install -y -qq "${missing[@]}" > /dev/null
fi

looks=tests/document/looks
work="${CARGO_TARGET_DIR:-target}/looks"
rm -rf "$work"
mkdir -p "$work" "$looks"
[ -n "${BEADTALLY:-}" ] || { cargo build --quiet; BEADTALLY="${CARGO_TARGET_DIR:-target}/debug/beadtally"; }
cargo build --quiet --example compare_pictures
compare="${CARGO_TARGET_DIR:-target}/debug/examples/compare_pictures"

# The demonstration shop as a German one on Letter, so that both languages and both sheets are seen.
"$BEADTALLY" shop new "$work/german.toml" --demonstration > /dev/null
sed -i 's/^language = "en"/language = "de"/; s/^paper = "a4"/paper = "letter"/' "$work/german.toml"
quantities=1,2,5,10,100
for audience in customer owner; do
    for language in english german; do
        shop=()
        [ "$language" = english ] || shop=(--shop "$work/german.toml")
        "$BEADTALLY" quote models/cleat_block.stl "${shop[@]}" --quantity "$quantities" --date 2026-11-26 --for "$audience" \
            --out "$work/$audience-$language.pdf" --out "$work/$audience-$language.html" --out "$work/$audience-$language.json" \
            > /dev/null
    done
done

bad=0
for name in customer-english customer-german owner-english owner-german; do
    # The resolutions keep the pictures small; letters are grey bars then, and that is what is compared.
    pdftoppm -r 60 -gray -png "$work/$name.pdf" "$work/$name" 2> /dev/null
    chromium --headless --no-sandbox --disable-gpu --hide-scrollbars --force-device-scale-factor=0.7 --window-size=900,2400 \
        --screenshot="$work/$name-html.png" "file://$(realpath "$work/$name.html")" 2> /dev/null
    tidy -errors -quiet "$work/$name.html" 2> "$work/$name.tidy" || true
    if grep -q 'Error:' "$work/$name.tidy"; then
        cat "$work/$name.tidy"
        bad=1
    fi
    echo "$name.html: $(grep -c Warning: "$work/$name.tidy" || true) warnings of the validator"
    sed 's/^/  /' "$work/$name.tidy"
done

# Every price of the customer's JSON stands in the words of the PDF.
pdftotext -layout "$work/customer-english.pdf" - 2> /dev/null | tr -d , > "$work/words"
grep -oE '"(unit_price|subtotal|tax|total)":"[0-9.]+"' "$work/customer-english.json" | grep -oE '[0-9.]+' | sort -u > "$work/figures"
[ "$(wc -l < "$work/figures")" -ge 10 ] || { echo "too few figures in the JSON"; bad=1; }
while read -r figure; do
    grep -qF -- "$figure" "$work/words" || { echo "customer-english.pdf: $figure is missing"; bad=1; }
done < "$work/figures"

for picture in "$work"/*.png; do
    reference="$looks/$(basename "$picture")"
    if [ -n "${WRITE_LOOKS:-}" ]; then
        "$compare" --keep "$picture" "$reference"
    elif [ ! -f "$reference" ]; then
        echo "$picture: no reference; look at it and run WRITE_LOOKS=1 $0"
        bad=1
    else
        "$compare" "$reference" "$picture" || bad=1
    fi
done
# A page fewer would leave its reference unseen.
for reference in "$looks"/*.png; do
    [ -f "$work/$(basename "$reference")" ] || { echo "$reference: there is no such page any more"; bad=1; }
done
exit "$bad"
