//! Finds what TOML 1.1 added in a text that was read: other programs, which read TOML 1.0, would refuse the file.
//!
//! That is line ends, comments and a last comma in tables in braces, `\e` and `\x` in texts, and times without seconds.

use std::ops::Range;

use toml_parser::decoder::Encoding;
use toml_parser::parser::{EventReceiver, parse_document};
use toml_parser::{ErrorSink, ParseError, Span};

/// Something that TOML 1.0 does not have.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Later {
    pub(crate) span: Range<usize>,
    pub(crate) what: &'static str,
    pub(crate) remedy: &'static str,
}

/// The first place in a sound text that is not TOML 1.0.
pub(crate) fn first(text: &str) -> Option<Later> {
    if !may_be_there(text) {
        return None;
    }
    let mut finder = LaterFinder { text, open: Vec::new(), comma: None, found: None };
    let tokens = toml_parser::Source::new(text).lex().into_vec();
    parse_document(&tokens, &mut finder, &mut |_error: ParseError| {});
    finder.found
}

/// The bytes that may mean something here; of all others a text has long runs.
const TELLING: [bool; 256] = {
    let mut telling = [false; 256];
    let bytes = b"\\\"\n'#{}:";
    let mut at = 0;
    while at < bytes.len() {
        telling[bytes[at] as usize] = true;
        at += 1;
    }
    telling
};

/// Whether it is worth a closer look: most files hold nothing but what this program wrote. One pass over the bytes, a
/// line at a time, which looks at anything closer that it does not follow: literal texts, texts of several lines.
fn may_be_there(text: &str) -> bool {
    let bytes = text.as_bytes();
    let (mut open, mut in_text, mut at) = (0_i32, false, 0);
    while let Some(more) =
        bytes.get(at..).and_then(|rest| rest.iter().position(|&byte| TELLING[byte as usize]))
    {
        at += more;
        match bytes[at] {
            b'\\' if matches!(bytes.get(at + 1), Some(b'e' | b'x')) => return true,
            b'\\' => at += 1,
            b'"' if bytes[at..].starts_with(b"\"\"\"") => return true,
            b'"' => in_text = !in_text,
            b'\n' if in_text || open != 0 => return true,
            _ if in_text => {}
            b'\'' => return true,
            b'#' => {
                at += bytes[at..].iter().position(|&byte| byte == b'\n').unwrap_or(bytes.len() - at);
                continue;
            }
            b'{' => open += 1,
            b'}' if bytes[..at].trim_ascii_end().ends_with(b",") => return true,
            b'}' => open -= 1,
            b':' if is_short_time(bytes, at) => return true,
            _ => {}
        }
        at += 1;
    }
    in_text || open != 0
}

/// Whether hours and minutes stand somewhere without seconds, an offset aside.
fn has_short_time(text: &str) -> bool {
    let bytes = text.as_bytes();
    let colons = bytes.iter().enumerate().filter(|(_, byte)| **byte == b':');
    colons.map(|(at, _)| at).any(|at| is_short_time(bytes, at))
}

/// Whether a colon stands between hours and minutes that no seconds follow, an offset aside.
fn is_short_time(bytes: &[u8], colon: usize) -> bool {
    let is_digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let is_time = colon >= 2 && [colon - 2, colon - 1, colon + 1, colon + 2].into_iter().all(is_digit);
    let before = colon.checked_sub(3).map(|before| bytes[before]);
    is_time && !matches!(before, Some(b':' | b'+' | b'-')) && bytes.get(colon + 3) != Some(&b':')
}

/// Goes through a text with the parser.
struct LaterFinder<'t> {
    text: &'t str,
    /// Whether what is open is a table in braces, or else a list; the innermost last.
    open: Vec<bool>,
    /// A comma behind which nothing has come yet.
    comma: Option<Span>,
    found: Option<Later>,
}

impl LaterFinder<'_> {
    fn find(&mut self, span: Span, what: &'static str, remedy: &'static str) {
        self.found.get_or_insert(Later { span: span.start()..span.end(), what, remedy });
    }

    fn in_braces(&self) -> bool {
        self.open.last() == Some(&true)
    }

    fn look_for_escapes(&mut self, span: Span, kind: Option<Encoding>) {
        if !matches!(kind, Some(Encoding::BasicString | Encoding::MlBasicString)) {
            return;
        }
        let mut bytes = self.text.as_bytes()[span.start()..span.end()].iter();
        while bytes.any(|byte| *byte == b'\\') {
            if matches!(bytes.next(), Some(b'e' | b'x')) {
                return self.find(
                    span,
                    "`\\e` and `\\x` in a text",
                    "write it as `\\u00..`, such as `\\u001b`",
                );
            }
        }
    }
}

impl EventReceiver for LaterFinder<'_> {
    fn inline_table_open(&mut self, _: Span, _: &mut dyn ErrorSink) -> bool {
        self.comma = None;
        self.open.push(true);
        true
    }

    fn inline_table_close(&mut self, _: Span, _: &mut dyn ErrorSink) {
        if let Some(comma) = self.comma.take() {
            self.find(comma, "a comma before the closing brace", "take the comma out");
        }
        self.open.pop();
    }

    fn array_open(&mut self, _: Span, _: &mut dyn ErrorSink) -> bool {
        self.comma = None;
        self.open.push(false);
        true
    }

    fn array_close(&mut self, _: Span, _: &mut dyn ErrorSink) {
        self.comma = None;
        self.open.pop();
    }

    fn simple_key(&mut self, span: Span, kind: Option<Encoding>, _: &mut dyn ErrorSink) {
        self.comma = None;
        self.look_for_escapes(span, kind);
    }

    fn scalar(&mut self, span: Span, kind: Option<Encoding>, _: &mut dyn ErrorSink) {
        self.comma = None;
        self.look_for_escapes(span, kind);
        if kind.is_none() && has_short_time(&self.text[span.start()..span.end()]) {
            self.find(span, "a time without seconds", "write the seconds, such as 18:45:00");
        }
    }

    fn value_sep(&mut self, span: Span, _: &mut dyn ErrorSink) {
        self.comma = self.in_braces().then_some(span);
    }

    fn comment(&mut self, span: Span, _: &mut dyn ErrorSink) {
        if self.in_braces() {
            self.find(span, "a comment between braces", "write the table in braces on one line");
        }
    }

    fn newline(&mut self, span: Span, _: &mut dyn ErrorSink) {
        if self.in_braces() {
            self.find(span, "a table in braces on several lines", "write the table in braces on one line");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn what(text: &str) -> Option<&'static str> {
        // The parser of TOML 1.0 is the judge.
        let is_refused = toml_1_0::from_str::<toml_1_0::Table>(text).is_err();
        assert!(text.parse::<toml::Table>().is_ok(), "{text}");
        let found = first(text);
        assert_eq!(found.is_some(), is_refused, "{text}");
        found.map(|found| found.what)
    }

    #[test]
    fn what_a_parser_of_the_first_version_refuses_is_named() {
        assert_eq!(what("a = { b = 1,\n c = 2 }\n"), Some("a table in braces on several lines"));
        assert_eq!(what("a = {\n b = 1 }\n"), Some("a table in braces on several lines"));
        assert_eq!(what("a = { b = { c = 1 }\n}\n"), Some("a table in braces on several lines"));
        assert_eq!(what("a = { b = \"}\", c = {}\n}\n"), Some("a table in braces on several lines"));
        assert_eq!(what("a = { b = '}', c = {}\n}\n"), Some("a table in braces on several lines"));
        assert_eq!(what("a = [{ b = 1,\r\n c = 2 }]\n"), Some("a table in braces on several lines"));
        assert_eq!(what("a = { b = 1, }\n"), Some("a comma before the closing brace"));
        assert_eq!(what("a = [[{ b = 1 ,}]]\n"), Some("a comma before the closing brace"));
        assert_eq!(what("a = { b = 1 # why\n}\n"), Some("a comment between braces"));
        for text in ["a = \"\\e[1m\"", "a = \"\"\"x\\x41\"\"\"", "\"\\x41\" = 1", "a = { \"\\e\" = 1 }"] {
            assert_eq!(what(text), Some("`\\e` and `\\x` in a text"));
        }
        for text in [
            "at = 18:45",
            "a = \"say \\\" {\" # it's\nat = 18:45",
            "at = 2026-11-20T18:45",
            "at = 2026-11-20 18:45+01:00",
            "a = { at = 2026-11-20T18:45Z }",
        ] {
            assert_eq!(what(text), Some("a time without seconds"));
        }
    }

    #[test]
    fn what_both_versions_have_is_not() {
        for text in [
            "a = [\n 1, # one\n 2,\n]\n",
            "a = { b = [\n 1,\n 2,\n] }\n",
            "a = {}\n",
            "a = \"18:45, { b,\\n }\" # 18:45 {, }\n",
            "a = 'C:\\xe'\n",
            "a = \"\\\\e \\\\x41\"\n",
            "a = \"\"\"{ b = 1,\n}\"\"\"\n",
            "at = 2026-11-20T18:45:00.5+01:00\nb = 18:45:00\nc = { d = 18:45:07 }\n",
        ] {
            assert_eq!(what(text), None, "{text}");
        }
    }
}
