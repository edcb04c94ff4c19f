//! Values as they are written in a file: each on one line, and in TOML 1.0.

use toml::de::DeValue;

use super::shape::REPORT_ORDER;
use crate::text::is_harmless;

/// Appends a TOML basic string on one line.
pub(crate) fn push_quoted(out: &mut String, text: &str) {
    use std::fmt::Write as _;
    out.push('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            '\t' => out.push_str("\\t"),
            // So that a person who opens the file sees them.
            c if !is_harmless(c) => {
                let code = u32::from(c);
                if code <= 0xffff { write!(out, "\\u{code:04X}") } else { write!(out, "\\U{code:08X}") }
                    .expect("writing to a string cannot fail");
            }
            c => out.push(c),
        }
    }
    out.push('"');
}

/// A TOML basic string on one line.
pub(crate) fn quoted(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    push_quoted(&mut out, text);
    out
}

/// A key as it stands in a file.
pub(crate) fn key_text(key: &str) -> String {
    let bare =
        !key.is_empty() && key.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"-_".contains(&byte));
    if bare { key.to_owned() } else { quoted(key) }
}

/// A value on one line, written the same way however it stands in the file.
pub(crate) fn on_one_line(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(text) => quoted(text),
        DeValue::Integer(number) => {
            let digits = number.as_str();
            i64::from_str_radix(digits, number.radix())
                .map_or_else(|_error| digits.to_owned(), |n| n.to_string())
        }
        DeValue::Float(number) => number.as_str().to_owned(),
        DeValue::Boolean(flag) => flag.to_string(),
        DeValue::Datetime(time) => time.to_string(),
        DeValue::Array(array) => {
            let values: Vec<String> = array.iter().map(|value| on_one_line(value.get_ref())).collect();
            format!("[{}]", values.join(", "))
        }
        DeValue::Table(table) => {
            let pairs: Vec<(&str, String)> =
                table.iter().map(|(key, value)| (&**key.get_ref(), on_one_line(value.get_ref()))).collect();
            table_text(pairs.iter().map(|(key, text)| (*key, text.as_str())).collect())
        }
    }
}

/// Keys with their values in a fixed order; those that are not in it follow, by name.
pub(crate) fn in_order<'v>(order: &[&str], mut pairs: Vec<(&'v str, &'v str)>) -> Vec<(&'v str, &'v str)> {
    let place = |key: &str| order.iter().position(|known| *known == key).unwrap_or(order.len());
    pairs.sort_by(|(one, _), (other, _)| (place(one), one).cmp(&(place(other), other)));
    pairs
}

/// A table that is a value by itself, always in the same order: that of a report.
pub(crate) fn table_text(pairs: Vec<(&str, &str)>) -> String {
    inline(in_order(REPORT_ORDER, pairs))
}

/// A table on one line.
pub(crate) fn inline<'v>(pairs: impl IntoIterator<Item = (&'v str, &'v str)>) -> String {
    let pairs: Vec<String> =
        pairs.into_iter().map(|(key, value)| format!("{} = {value}", key_text(key))).collect();
    if pairs.is_empty() { "{}".to_owned() } else { format!("{{ {} }}", pairs.join(", ")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_is_written_on_one_line_and_shows_what_it_holds() {
        assert_eq!(quoted("say \"ah\"\n\u{202e}"), r#""say \"ah\"\n\u202E""#);
    }

    #[test]
    fn a_value_is_written_the_same_way_however_it_stands_in_the_file() {
        let text = "a = 0x1F\n[\"b c\"]\nd = [ 1_000,\n 'x' ] # why\ne = { f = 1.5, g = {} }\n";
        let parsed = toml::de::DeTable::parse(text).expect("is TOML");
        let of = |key: &str| on_one_line(parsed.get_ref()[key].get_ref());
        assert_eq!(of("a"), "31");
        assert_eq!(of("b c"), "{ d = [1000, \"x\"], e = { f = 1.5, g = {} } }");
    }
}
