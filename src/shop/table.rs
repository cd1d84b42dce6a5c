//! One table of the shop file: typed access to its keys, each error with its place.

use rust_decimal::Decimal;
use toml_edit::{Array, Item, TableLike, Value};

use super::ShopError;
use super::field::{Field, MoneyField};
use super::nearest::nearest;

/// The text of a shop file and its name.
#[derive(Clone, Copy)]
pub(super) struct Source<'a> {
    pub file: &'a str,
    pub text: &'a str,
}

impl Source<'_> {
    /// An error at a byte of the text, or of the file as a whole.
    pub fn error(&self, at: Option<usize>, key: String, message: String) -> ShopError {
        let line = at.map(|at| {
            let before = &self.text.as_bytes()[..at.min(self.text.len())];
            before.iter().filter(|byte| **byte == b'\n').count() + 1
        });
        ShopError {
            file: self.file.to_owned(),
            line,
            key,
            message,
        }
    }
}

/// A table of the file.
pub(super) struct ShopTable<'a> {
    source: Source<'a>,
    entries: &'a dyn TableLike,
    /// Where the table begins.
    at: Option<usize>,
    /// What an error calls it: `machine "fast"`.
    place: String,
    /// Put before a key's name: `speeds_mm_s.` inside that sub-table.
    prefix: String,
    /// What kind of table it is, as the file writes it: `[[machine]]`.
    header: &'static str,
}

impl<'a> ShopTable<'a> {
    /// A table whose keys must all be known.
    pub fn new(
        source: Source<'a>,
        item: &'a Item,
        at: Option<usize>,
        header: &'static str,
        place: String,
        known: &[&str],
    ) -> Result<Self, ShopError> {
        let Some(entries) = item.as_table_like() else {
            let message = format!("{} where a table {header} belongs", in_words(source, item));
            return Err(source.error(at, place, message));
        };
        Self::of(source, entries, at, header, place, known)
    }

    /// As [`ShopTable::new`], where the entries are at hand.
    pub fn of(
        source: Source<'a>,
        entries: &'a dyn TableLike,
        at: Option<usize>,
        header: &'static str,
        place: String,
        known: &[&str],
    ) -> Result<Self, ShopError> {
        let table = Self {
            source,
            entries,
            at,
            place,
            prefix: String::new(),
            header,
        };
        table.only(known)?;
        Ok(table)
    }

    /// The sub-table under a key, `None` where the key is missing.
    pub fn sub(&self, key: &str, known: &[&str]) -> Result<Option<Self>, ShopError> {
        let Some(item) = self.entries.get(key) else {
            return Ok(None);
        };
        let Some(entries) = item.as_table_like() else {
            let example = known.first().copied().unwrap_or_default();
            return Err(self.error(
                key,
                format!(
                    "{} is not a table; write {key} = {{ {example} = … }}",
                    self.words(item)
                ),
            ));
        };
        let table = Self {
            source: self.source,
            entries,
            at: self.at_key(key),
            place: self.place.clone(),
            prefix: format!("{}{key}.", self.prefix),
            header: self.header,
        };
        table.only(known)?;
        Ok(Some(table))
    }

    /// A sub-table of no keys, to be asked for keys that are then missing.
    pub fn empty_sub(&self, key: &str, empty: &'a toml_edit::Table) -> Self {
        Self {
            source: self.source,
            entries: empty,
            at: self.at,
            place: self.place.clone(),
            prefix: format!("{}{key}.", self.prefix),
            header: self.header,
        }
    }

    fn only(&self, known: &[&str]) -> Result<(), ShopError> {
        match self.entries.iter().find(|(key, _)| !known.contains(key)) {
            Some((key, _)) => Err(self.error(key, self.unknown(key, known))),
            None => Ok(()),
        }
    }

    fn unknown(&self, key: &str, known: &[&str]) -> String {
        let inside = match self.prefix.strip_suffix('.') {
            Some(sub) => format!("{sub} of {}", self.header),
            None => self.header.to_owned(),
        };
        let with_unit = known.iter().find(|name| {
            name.strip_prefix(key)
                .is_some_and(|rest| rest.starts_with('_'))
        });
        if let Some(name) = with_unit {
            return format!("the unit is missing from this key; write {name}");
        }
        match nearest(key, known.iter().copied()) {
            Some(name) => format!("not a key of {inside}; did you mean {name}?"),
            None => format!("not a key of {inside}; the keys are {}", known.join(", ")),
        }
    }

    /// An error at a key, or at the table's head where the key is missing.
    pub fn error(&self, key: &str, message: impl Into<String>) -> ShopError {
        // Quoted keys may hold anything; what is shown is kept short and free of control characters.
        let shown: String = key.chars().flat_map(char::escape_debug).take(60).collect();
        let place = format!("{} key {}{shown}", self.place, self.prefix);
        self.source
            .error(self.at_key(key).or(self.at), place, message.into())
    }

    fn at_key(&self, key: &str) -> Option<usize> {
        let (name, item) = self.entries.get_key_value(key)?;
        name.span().or_else(|| item.span()).map(|span| span.start)
    }

    /// Gives the table the name its errors use from now on.
    pub fn call(&mut self, place: String) {
        self.place = place;
    }

    /// The key as the file spells it, with the sub-table before it.
    pub fn full_key(&self, key: &str) -> String {
        format!("{}{key}", self.prefix)
    }

    /// Whether the key is there.
    pub fn has(&self, key: &str) -> bool {
        self.entries.contains_key(key)
    }

    /// A number within its range, `None` where the key is missing.
    pub fn number(&self, field: &Field) -> Result<Option<f64>, ShopError> {
        let Some(item) = self.entries.get(field.key) else {
            return Ok(None);
        };
        let Some(value) = item.as_value() else {
            return Err(self.not_a_number(field, &self.words(item)));
        };
        self.number_of(field, value).map(Some)
    }

    /// A number within its range.
    pub fn need_number(&self, field: &Field) -> Result<f64, ShopError> {
        self.number(field)?
            .ok_or_else(|| self.missing(field.key, &field.right()))
    }

    fn number_of(&self, field: &Field, value: &Value) -> Result<f64, ShopError> {
        let number = match value {
            Value::Integer(whole) => *whole.value() as f64,
            Value::Float(float) => *float.value(),
            other => return Err(self.not_a_number(field, &value_in_words(self.source, other))),
        };
        match field.fault(number, self.written(value)) {
            Some(message) => Err(self.error(field.key, message)),
            None => Ok(number),
        }
    }

    fn not_a_number(&self, field: &Field, words: &str) -> ShopError {
        self.error(
            field.key,
            format!(
                "{words} is not a number; {} as a plain number",
                field.right()
            ),
        )
    }

    /// The error for a key that must be there.
    pub fn missing(&self, key: &str, right: &str) -> ShopError {
        self.error(key, format!("missing; {right}"))
    }

    /// A list of numbers, each within its range; `None` where the key is missing.
    pub fn numbers(&self, field: &Field) -> Result<Option<Vec<f64>>, ShopError> {
        let Some(item) = self.entries.get(field.key) else {
            return Ok(None);
        };
        let Some(list) = item.as_array() else {
            let message = format!("{} is not a list; {}", self.words(item), field.right());
            return Err(self.error(field.key, message));
        };
        list.iter()
            .map(|value| self.number_of(field, value))
            .collect::<Result<_, _>>()
            .map(Some)
    }

    /// Exactly two numbers, each within its range.
    pub fn pair(&self, field: &Field) -> Result<(f64, f64), ShopError> {
        match self.numbers(field)?.as_deref() {
            Some([first, second]) => Ok((*first, *second)),
            Some(list) => {
                let message = format!("a list of {} is not two; {}", list.len(), field.right());
                Err(self.error(field.key, message))
            }
            None => Err(self.missing(field.key, &field.right())),
        }
    }

    /// A list of points [x, y], at most so many; `None` where the key is missing.
    pub fn points(
        &self,
        field: &Field,
        right: &str,
        most: usize,
    ) -> Result<Option<Vec<[f64; 2]>>, ShopError> {
        let Some(item) = self.entries.get(field.key) else {
            return Ok(None);
        };
        let list = self.bounded(field.key, item.as_array(), &self.words(item), right, most)?;
        self.points_of(field, list, right).map(Some)
    }

    /// A list of lists of points.
    pub fn lists_of_points(
        &self,
        field: &Field,
        right: &str,
        most: usize,
        most_points: usize,
    ) -> Result<Option<Vec<Vec<[f64; 2]>>>, ShopError> {
        let Some(item) = self.entries.get(field.key) else {
            return Ok(None);
        };
        let lists = self.bounded(field.key, item.as_array(), &self.words(item), right, most)?;
        let points = |value: &'a Value| {
            let words = value_in_words(self.source, value);
            let list = self.bounded(field.key, value.as_array(), &words, right, most_points)?;
            self.points_of(field, list, right)
        };
        lists.iter().map(points).collect::<Result<_, _>>().map(Some)
    }

    /// A list of small tables with two numbers each; empty where the key is missing.
    pub fn rows(
        &self,
        key: &'static str,
        fields: [&Field; 2],
        right: &str,
        most: usize,
    ) -> Result<Vec<[f64; 2]>, ShopError> {
        let Some(item) = self.entries.get(key) else {
            return Ok(Vec::new());
        };
        let list = self.bounded(key, item.as_array(), &self.words(item), right, most)?;
        let row = |value: &'a Value| {
            let known = fields.map(|field| field.key);
            let Some(entries) = value.as_inline_table() else {
                let words = value_in_words(self.source, value);
                return Err(self.error(key, format!("{words} is not a step; {right}")));
            };
            let table = Self {
                source: self.source,
                entries,
                at: self.at_key(key),
                place: self.place.clone(),
                prefix: format!("{}{key}.", self.prefix),
                header: self.header,
            };
            table.only(&known)?;
            Ok([table.need_number(fields[0])?, table.need_number(fields[1])?])
        };
        list.iter().map(row).collect()
    }

    fn bounded<'l>(
        &self,
        key: &str,
        list: Option<&'l Array>,
        words: &str,
        right: &str,
        most: usize,
    ) -> Result<&'l Array, ShopError> {
        let list =
            list.ok_or_else(|| self.error(key, format!("{words} is not a list; {right}")))?;
        if list.len() > most {
            let message = format!(
                "a list of {} is more than the {most} allowed; {right}",
                list.len()
            );
            return Err(self.error(key, message));
        }
        Ok(list)
    }

    fn points_of(
        &self,
        field: &Field,
        list: &Array,
        right: &str,
    ) -> Result<Vec<[f64; 2]>, ShopError> {
        let point = |value: &Value| {
            let pair = value.as_array().filter(|pair| pair.len() == 2);
            let Some(pair) = pair else {
                let words = value_in_words(self.source, value);
                return Err(
                    self.error(field.key, format!("{words} is not a point [x, y]; {right}"))
                );
            };
            let mut numbers = [0.0; 2];
            for (number, value) in numbers.iter_mut().zip(pair) {
                *number = self.number_of(field, value)?;
            }
            Ok(numbers)
        };
        list.iter().map(point).collect()
    }

    /// A sum of money, read from its digits and never through a float; `None` where the key is missing.
    pub fn money(&self, field: &MoneyField) -> Result<Option<Decimal>, ShopError> {
        let Some(item) = self.entries.get(field.key) else {
            return Ok(None);
        };
        let digits = match item.as_value() {
            Some(Value::Integer(whole)) => whole.value().to_string(),
            Some(value @ Value::Float(_)) => self.written(value).replace('_', ""),
            Some(Value::String(text)) => text.value().trim().to_owned(),
            _ => {
                let message = format!("{} is not money; {}", self.words(item), field.right());
                return Err(self.error(field.key, message));
            }
        };
        let sum = exact_decimal(&digits)
            .map_err(|fault| self.error(field.key, format!("{fault}; {}", field.right())))?;
        match field.fault(sum, &digits) {
            Some(message) => Err(self.error(field.key, message)),
            None => Ok(Some(sum)),
        }
    }

    /// A sum of money.
    pub fn need_money(&self, field: &MoneyField) -> Result<Decimal, ShopError> {
        self.money(field)?
            .ok_or_else(|| self.missing(field.key, &field.right()))
    }

    /// A yes or no, `None` where the key is missing.
    pub fn flag(&self, key: &str, right: &str) -> Result<Option<bool>, ShopError> {
        let Some(item) = self.entries.get(key) else {
            return Ok(None);
        };
        match item.as_bool() {
            Some(flag) => Ok(Some(flag)),
            None => {
                let message = format!("{} is neither true nor false; {right}", self.words(item));
                Err(self.error(key, message))
            }
        }
    }

    /// A line of text, `None` where the key is missing.
    pub fn text(&self, key: &str, right: &str) -> Result<Option<&'a str>, ShopError> {
        let Some(item) = self.entries.get(key) else {
            return Ok(None);
        };
        match item.as_str() {
            Some(text) => self.line_of(key, text, right).map(Some),
            None => Err(self.error(key, format!("{} is not text; {right}", self.words(item)))),
        }
    }

    /// A line of text that must be there.
    pub fn need_text(&self, key: &str, right: &str) -> Result<&'a str, ShopError> {
        self.text(key, right)?
            .ok_or_else(|| self.missing(key, right))
    }

    /// A list of lines of text, `None` where the key is missing.
    pub fn texts(&self, key: &str, right: &str) -> Result<Option<Vec<&'a str>>, ShopError> {
        let Some(item) = self.entries.get(key) else {
            return Ok(None);
        };
        let Some(list) = item.as_array() else {
            return Err(self.error(key, format!("{} is not a list; {right}", self.words(item))));
        };
        let line = |value: &'a Value| match value.as_str() {
            Some(text) => self.line_of(key, text, right),
            None => {
                let words = value_in_words(self.source, value);
                Err(self.error(key, format!("{words} is not text; {right}")))
            }
        };
        list.iter().map(line).collect::<Result<_, _>>().map(Some)
    }

    /// Text goes to terminals and documents, so it is one line of a bounded length without control characters.
    fn line_of(&self, key: &str, text: &'a str, right: &str) -> Result<&'a str, ShopError> {
        let fault = if text.trim().is_empty() {
            "empty"
        } else if text.chars().count() > LONGEST_TEXT {
            "longer than 300 letters"
        } else if text.chars().any(char::is_control) {
            "holds a line break or control character"
        } else {
            return Ok(text.trim());
        };
        Err(self.error(key, format!("{fault}; {right}")))
    }

    /// A short id: what is typed on the command line.
    pub fn id(&self) -> Result<&'a str, ShopError> {
        const RIGHT: &str =
            "give a short id of 1 to 24 letters, digits, dots, dashes or underscores";
        let id = self.need_text("id", RIGHT)?;
        let allowed = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '_');
        if id.len() <= 24 && id.chars().all(allowed) {
            return Ok(id);
        }
        Err(self.error("id", format!("{} can't be an id; {RIGHT}", shortened(id))))
    }

    fn words(&self, item: &Item) -> String {
        in_words(self.source, item)
    }

    /// A value as the file writes it.
    fn written(&self, value: &Value) -> &'a str {
        written(self.source, value)
    }
}

const LONGEST_TEXT: usize = 300;

/// The decimal that the digits spell, exactly, or what is wrong with them.
fn exact_decimal(digits: &str) -> Result<Decimal, String> {
    let plain = digits.strip_prefix('+').unwrap_or(digits);
    let looks_right = !plain.is_empty()
        && plain
            .chars()
            .all(|c| c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | 'e' | 'E'));
    let parsed = match plain.contains(['e', 'E']) {
        _ if !looks_right => None,
        true => Decimal::from_scientific(plain).ok(),
        false => Decimal::from_str_exact(plain).ok(),
    };
    match parsed {
        // A negative zero is plain zero.
        Some(sum) if sum.is_zero() => Ok(Decimal::ZERO),
        Some(sum) => Ok(sum),
        None if looks_right => Err(format!("{} has too many digits", shortened(digits))),
        None => Err(format!(
            "{} is not a sum of money written with digits and a decimal point",
            shortened(digits)
        )),
    }
}

fn written<'a>(source: Source<'a>, value: &Value) -> &'a str {
    value
        .span()
        .and_then(|span| source.text.get(span))
        .unwrap_or_default()
}

fn in_words(source: Source<'_>, item: &Item) -> String {
    match item {
        Item::Value(value) => value_in_words(source, value),
        Item::Table(_) => "a table".to_owned(),
        Item::ArrayOfTables(_) => "a list of tables".to_owned(),
        Item::None => "nothing".to_owned(),
    }
}

fn value_in_words(source: Source<'_>, value: &Value) -> String {
    match value {
        Value::String(text) => format!("the text {}", shortened(text.value())),
        Value::Array(_) => "a list".to_owned(),
        Value::InlineTable(_) => "a table".to_owned(),
        Value::Datetime(_) => format!("the date {}", shortened(written(source, value))),
        Value::Integer(_) | Value::Float(_) | Value::Boolean(_) => {
            written(source, value).to_owned()
        }
    }
}

/// Text of the file as an error may quote it: short, in quotes, control characters spelled out.
pub(super) fn shortened(text: &str) -> String {
    let mut shown: String = text.chars().take(40).collect();
    if text.chars().nth(40).is_some() {
        shown.push('…');
    }
    format!("{shown:?}")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    #[test]
    fn money_keeps_every_digit_that_is_written() {
        for (written, exact) in [
            ("0.1", "0.1"),
            ("1234567890.123456789", "1234567890.123456789"),
            ("+5.0", "5.0"),
            ("1.25e3", "1250"),
            ("-0.0", "0"),
        ] {
            assert_eq!(exact_decimal(written).unwrap().to_string(), exact);
        }
    }

    #[test]
    fn what_is_no_plain_sum_is_refused() {
        for written in [
            "", "nan", "inf", "12,50", "1 000", "ten", "1_0", "--1", "1e", "1e999",
        ] {
            assert!(exact_decimal(written).is_err(), "{written}");
        }
    }

    #[test]
    fn more_digits_than_a_decimal_holds_are_refused_and_not_rounded() {
        let fault = exact_decimal("1.00000000000000000000000000000000001").unwrap_err();
        assert!(fault.contains("too many digits"), "{fault}");
        assert!(exact_decimal("1.2345678901234567890123456789e-9").is_err());
    }
}
