//! Reads a client's file quickly where it looks the way this program writes it.
//!
//! Why there is a second reader beside the parser: ten years of a client are megabytes of sessions, nearly all of them
//! lines that this program wrote, and every screen that opens a client waits for them. Read so they take 12 ms, as a plain
//! TOML value 141 ms (4 MB, measured by `cargo bench --bench store`).
//!
//! It has one job, a session's lines in the order in which they are written. A session in which anything looks
//! different is parsed by itself, and a file that cannot be cut into sessions, or in which anything is wrong, is left to
//! the parser as a whole. Nothing is understood here that the parser would not understand the same way: a property and a
//! fuzz target hold both against each other on any text.

use chrono::{DateTime, FixedOffset, NaiveDate, NaiveDateTime, NaiveTime};

use crate::body::{Degrees, Level, Minutes, Seconds, Side};
use crate::catalogue::{FormId, Method, StretchId};
use crate::client::{
    Angle, Client, ClientId, Consent, Ended, Narrowing, Planned, Report, Session, Trained, whole_second,
};

use super::error::Flaw;
use super::format;
use super::shape::SESSION_HEADER;
use super::text_cut::{header_lines, parts};
use crate::document::values::FIRST_YEAR;
use crate::document::{MOST_FLAWS, Source};

/// Reads a client's file as [`format::client`] does; nothing if it has to be parsed as a whole.
///
/// Parts that can each be parsed alone mean the same together: a header names its place from the top, and none
/// but the sessions' blocks says anything about sessions.
pub(crate) fn client(id: &ClientId, source: &Source) -> Option<(Client, Vec<Flaw>)> {
    let text = source.text();
    let headers = header_lines(text);
    let (head, blocks) = parts(text, &headers);
    let (mut client, mut unknown) = format::head(id, source, head)?;
    client.sessions.reserve(headers.len());
    let mut odd = Vec::new();
    for (block, &start) in blocks.zip(&headers) {
        if let Some(session) = session(block) {
            client.sessions.push(session);
            continue;
        }
        let (session, doubts) = format::lone_session(source, start, block)?;
        odd.push(session);
        unknown.extend(doubts);
    }
    // The parser stops counting at so many, in an order of its own.
    if unknown.len() >= MOST_FLAWS {
        return None;
    }
    format::take_in(&mut client, odd);
    Some((client, unknown))
}

/// A session's block, if every line in it is as this program writes it.
pub(crate) fn session(block: &str) -> Option<Session> {
    let mut lines = Lines(block);
    if lines.next()? != SESSION_HEADER {
        return None;
    }
    let at = moment(lines.next()?.strip_prefix("at = ")?)?;
    let minutes = Minutes::new(i64::from(number(lines.next()?.strip_prefix("minutes = ")?)?)).ok()?;
    let mut line = lines.next()?;
    let mut by = String::new();
    if let Some(name) = line.strip_prefix("by = ") {
        plain_text(name)?.clone_into(&mut by);
        line = lines.next()?;
    }
    let mut trained = Trained::new();
    if let Some(rest) = line.strip_prefix("trained = { ") {
        trained = trained_muscles(rest.strip_suffix(" }")?)?;
        line = lines.next()?;
    }
    let consent: Consent = plain_text(line.strip_prefix("consent = ")?)?.parse().ok()?;
    let mut session = Session { by, trained, ..Session::new(at, minutes, consent) };
    let mut next = lines.next();
    let mut limits: Vec<&str> = Vec::new();
    loop {
        let repeated = if let Some(row) = next.and_then(|line| line.strip_prefix("report.")) {
            let (number, report) = report(row)?;
            session.reports.insert(number, report).is_some()
        } else if let Some(row) = next.and_then(|line| line.strip_prefix("narrowed.")) {
            let (key, narrowing) = narrowing(row)?;
            let repeated = limits.contains(&key);
            limits.push(key);
            session.narrowed.push(narrowing);
            repeated
        } else {
            break;
        };
        if repeated {
            return None;
        }
        next = lines.next();
    }
    session.narrowed.sort_by_key(|narrowing| (narrowing.at, narrowing.what));
    if let Some(note) = next.and_then(|line| line.strip_prefix("note = ")) {
        plain_text(note)?.clone_into(&mut session.note);
        next = lines.next();
    }
    if let Some(closed) = next.and_then(|line| line.strip_prefix("closed = ")) {
        session.closed = Some(whole_second(moment(closed)?));
        next = lines.next();
    }
    // Only empty lines may follow; they stand before the next header.
    while let Some(line) = next {
        if !line.is_empty() {
            return None;
        }
        next = lines.next();
    }
    Some(session)
}

/// Lines without their ends.
struct Lines<'t>(&'t str);

impl<'t> Iterator for Lines<'t> {
    type Item = &'t str;

    fn next(&mut self) -> Option<&'t str> {
        if self.0.is_empty() {
            return None;
        }
        let Some((line, rest)) = self.0.split_once('\n') else { return Some(std::mem::take(&mut self.0)) };
        self.0 = rest;
        Some(line.strip_suffix('\r').unwrap_or(line))
    }
}

/// The rest of a line, taken from the front.
struct Cursor<'t>(&'t str);

impl<'t> Cursor<'t> {
    fn eat(&mut self, expected: &str) -> Option<()> {
        self.0 = self.0.strip_prefix(expected)?;
        Some(())
    }

    /// Goes to the value after `, key = `, if that is what comes next.
    fn at_key(&mut self, key: &str) -> bool {
        let rest = self.0.strip_prefix(", ").and_then(|rest| rest.strip_prefix(key));
        let value = rest.and_then(|rest| rest.strip_prefix(" = "));
        self.0 = value.unwrap_or(self.0);
        value.is_some()
    }

    fn text(&mut self) -> Option<&'t str> {
        let rest = self.0.strip_prefix('"')?;
        let end =
            rest.bytes().position(|byte| byte == b'"' || byte == b'\\' || byte < b' ' || byte == 0x7f)?;
        if rest.as_bytes()[end] != b'"' {
            return None;
        }
        self.0 = &rest[end + 1..];
        Some(&rest[..end])
    }

    fn level(&mut self) -> Option<Level> {
        Level::new(i64::from(self.number()?)).ok()
    }

    /// Digits as this program writes a number: no sign, no leading zero.
    fn number(&mut self) -> Option<u32> {
        let end = self.0.bytes().position(|byte| !byte.is_ascii_digit()).unwrap_or(self.0.len());
        let (digits, rest) = self.0.split_at(end);
        let found = number(digits)?;
        self.0 = rest;
        Some(found)
    }
}

fn number(digits: &str) -> Option<u32> {
    let plain = !digits.is_empty()
        && digits.bytes().all(|byte| byte.is_ascii_digit())
        && (digits.len() == 1 || !digits.starts_with('0'));
    // Longer ones do not fit, and the parser says so.
    if plain { digits.parse().ok() } else { None }
}

/// A text in quotes with nothing in it that would have to be written out, and nothing behind it.
fn plain_text(value: &str) -> Option<&str> {
    let mut cursor = Cursor(value);
    cursor.text().filter(|_| cursor.0.is_empty())
}

fn trained_muscles(list: &str) -> Option<Trained> {
    let mut trained = Trained::new();
    for pair in list.split(", ") {
        let (muscle, effort) = pair.split_once(" = ")?;
        let effort = i64::from(number(effort)?).try_into().ok()?;
        if trained.insert(muscle.parse().ok()?, effort).is_some() {
            return None;
        }
    }
    Some(trained)
}

/// What was taken out of the consent, from `NN = { .. }`, or `no-massage = ..` as in version 1; and its key.
fn narrowing(row: &str) -> Option<(&str, Narrowing)> {
    let (key, row) = row.split_once(" = ")?;
    let (what, at) = if let Some(row) = row.strip_prefix("{ what = ") {
        row_number(key)?;
        let mut cursor = Cursor(row);
        let what = cursor.text()?.parse().ok()?;
        cursor.eat(", at = ")?;
        (what, moment(cursor.0.strip_suffix(" }")?)?)
    } else {
        (key.parse().ok()?, moment(row)?)
    };
    Some((key, Narrowing { what, at: whole_second(at), lifted: None }))
}

/// The number of a row, as the parser takes it.
fn row_number(digits: &str) -> Option<u32> {
    let plain = !digits.is_empty() && digits.len() <= 9 && digits.bytes().all(|byte| byte.is_ascii_digit());
    if plain { digits.parse().ok() } else { None }
}

/// One line `report.NN = { .. }`, with its end.
pub(crate) fn report_row(line: &str) -> Option<(u32, Report)> {
    report(line.strip_prefix("report.")?.strip_suffix('\n')?)
}

/// A report from `NN = { .. }`.
fn report(row: &str) -> Option<(u32, Report)> {
    let (digits, row) = row.split_once(" = { stretch = ")?;
    let row_number = row_number(digits)?;
    let mut cursor = Cursor(row);
    let stretch = StretchId::new(cursor.text()?).ok()?;
    cursor.eat(", form = ")?;
    let form = FormId::new(cursor.text()?).ok()?;
    let side: Option<Side> = if cursor.at_key("side") { Some(cursor.text()?.parse().ok()?) } else { None };
    let method: Method = if cursor.at_key("method") { cursor.text()?.parse().ok()? } else { Method::Static };
    let cycles = if cursor.at_key("cycles") { cursor.number()?.try_into().ok()? } else { 0 };
    cursor.eat(", held_s = ")?;
    let held = Seconds::new(cursor.number()?);
    let planned = if cursor.at_key("planned_s") {
        let held = Seconds::new(cursor.number()?);
        let cycles = if cursor.at_key("planned_cycles") { cursor.number()?.try_into().ok()? } else { 0 };
        Some(Planned { held, cycles, aim: if cursor.at_key("aim") { Some(cursor.level()?) } else { None } })
    } else {
        None
    };
    let level = if cursor.at_key("level") { Some(cursor.level()?) } else { None };
    let mut angles = Vec::new();
    if cursor.at_key("angle_deg") {
        let sign = if cursor.eat("-").is_some() { -1 } else { 1 };
        angles.push(Angle::new(Degrees::new(sign * i64::from(cursor.number()?)).ok()?));
    }
    let ended = if cursor.at_key("ended") { cursor.text()?.parse().ok()? } else { Ended::Done };
    let sign = if cursor.at_key("sign") { Some(cursor.text()?.to_owned()) } else { None };
    let note = if cursor.at_key("note") { cursor.text()?.to_owned() } else { String::new() };
    let report =
        Report { stretch, form, side, method, cycles, held, planned, level, angles, ended, sign, note };
    (cursor.0 == " }").then_some((row_number, report))
}

/// A time like `2026-11-20T18:45:00+01:00`, with or without parts of a second.
pub(crate) fn moment(text: &str) -> Option<DateTime<FixedOffset>> {
    let bytes = text.as_bytes();
    let digits = |range: std::ops::Range<usize>| -> Option<u32> {
        bytes
            .get(range)?
            .iter()
            .try_fold(0_u32, |sum, byte| byte.is_ascii_digit().then(|| sum * 10 + u32::from(byte - b'0')))
    };
    let is = |at: usize, byte: u8| bytes.get(at) == Some(&byte);
    if !(is(4, b'-') && is(7, b'-') && is(10, b'T') && is(13, b':') && is(16, b':')) {
        return None;
    }
    let year = digits(0..4).filter(|&year| year >= u32::from(FIRST_YEAR))?;
    let day = NaiveDate::from_ymd_opt(i32::try_from(year).ok()?, digits(5..7)?, digits(8..10)?)?;
    let mut end = 19;
    let mut nanos = 0;
    if is(19, b'.') {
        let count = bytes[20..].iter().take_while(|byte| byte.is_ascii_digit()).count();
        if !(1..=9).contains(&count) {
            return None;
        }
        end = 20 + count;
        nanos = digits(20..end)? * 10_u32.pow(u32::try_from(9 - count).ok()?);
    }
    // A leap second is left to the parser.
    let second = digits(17..19).filter(|&second| second < 60)?;
    let time = NaiveTime::from_hms_nano_opt(digits(11..13)?, digits(14..16)?, second, nanos)?;
    let sign = match bytes.get(end)? {
        b'+' => 1,
        b'-' => -1,
        _ => return None,
    };
    if bytes.len() != end + 6 || !is(end + 3, b':') {
        return None;
    }
    let (hours, minutes) = (digits(end + 1..end + 3)?, digits(end + 4..end + 6)?);
    if hours > 23 || minutes > 59 {
        return None;
    }
    let offset = FixedOffset::east_opt(sign * i32::try_from(hours * 60 + minutes).ok()? * 60)?;
    NaiveDateTime::new(day, time).and_local_timezone(offset).single()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::store::{locate, row};

    const PLAIN: &str = "version = 1\nname = \"Rosa\" # said so\n\n[[condition]]\nid = \"knee-pain\"\n\n[[session]]\n\
        at = 2026-11-20T18:45:00+01:00\nminutes = 10\ntrained = { soleus = 2, hamstrings = 3 }\n\
        consent = \"hands-on\"\n\
        report.01 = { stretch = \"calf\", form = \"wall\", held_s = 30 }\n\
        narrowed.mat-between = 2026-11-20T18:46:00+00:00\n\
        narrowed.02 = { what = \"no-massage\", at = 2026-11-20T18:45:30+01:00 }\n\
        report.02 = { stretch = \"calf\", form = \"wall\", side = \"left\", method = \"contract-relax\", cycles = 3, \
        held_s = 21, planned_s = 30, planned_cycles = 3, aim = 4, level = 4, angle_deg = -7, ended = \"pain\", note = \"é, it pulls\" }\n\
        note = \"calm\"\nclosed = 2026-11-20T18:54:40.250+01:00\n\n[[session]]\nat = 2026-11-21T18:45:00-03:30\n\
        minutes = 5\nby = \"Ada\"\nconsent = \"self-stretch\"\n";

    /// The quick way says what the parser says, or nothing. Gives whether it said something.
    fn agrees(text: &str) -> bool {
        let id = ClientId::new("rosa").expect("plain word");
        let source = Source::made("rosa".as_ref(), text.to_owned());
        let slow = format::client(&id, &source);
        let quick = client(&id, &source);
        if let Some(quick) = &quick {
            assert_eq!(Some(quick), slow.as_ref().ok(), "{text}");
        }
        if slow.is_ok()
            && let Some(blocks) = locate::quick_blocks(text)
        {
            assert_eq!(Some(blocks), locate::parsed_blocks(text, false), "{text}");
        }
        for block in parts(text, &header_lines(text)).1 {
            if let Some(quick) = session(block) {
                let block = Source::made("block".as_ref(), block.to_owned());
                assert_eq!(format::session_blocks(&block).ok(), Some(vec![(quick, None)]), "{block:?}");
            }
        }
        quick.is_some()
    }

    #[test]
    fn what_this_program_writes_is_read_quickly() {
        assert!(agrees(PLAIN));
        assert!(parts(PLAIN, &header_lines(PLAIN)).1.all(|block| session(block).is_some()));
        assert!(agrees(&PLAIN.replace('\n', "\r\n")));
        assert!(agrees(PLAIN.trim_end()));
        let id = ClientId::new("rosa").expect("plain word");
        let (again, _) = client(&id, &Source::made("rosa".as_ref(), PLAIN.to_owned())).expect("is plain");
        for one in &again.sessions {
            let mut block = String::new();
            row::session_block(&mut block, one, None);
            assert_eq!(session(block.trim_start()).as_ref(), Some(one));
        }
    }

    #[test]
    fn a_session_that_was_edited_by_hand_does_not_slow_the_others_down() {
        let edited =
            PLAIN.replace("note = \"calm\"", "mood = 'fine' # she said\nnote = \"\"\"calm\n[x]\"\"\"");
        assert!(agrees(&edited));
        assert!(!agrees(&edited.replace("[x]", "[[session]]\n")));
        assert!(!agrees(&format!("{PLAIN}\n[[condition]]\nid = \"pregnancy\"\n")));
        assert!(!agrees(&format!("session = []\n{PLAIN}")));
        assert!(!agrees(&PLAIN.replace("report.02", "report.1")));
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(
            std::env::var("PROPTEST_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(2_000)) })]

        #[test]
        fn the_quick_way_says_what_the_parser_says(
            at in 0..PLAIN.len(),
            gone in 0_usize..30,
            put in prop_oneof![
                3 => "[\\[\\]{}=\"',.#\n\r\t 0-9a-z+:T_-]{0,6}", 1 => "\\PC{0,3}", 1 => "[0-9]{1,12}",
                1 => prop::sample::select(vec![
                    "[[session]]\n", "\"\"\"", "'''", " }\n", ", level = 5", "\nnote = \"\"\n", "\n\n", "[x]\n",
                    "60", "00", "99", "-00:00", "Z", "\u{0}", "\u{7f}", "\\n", "x.y = 1\n", "clash = {}\n",
                ]).prop_map(str::to_owned),
            ],
        ) {
            let start = PLAIN.floor_char_boundary(at);
            let end = PLAIN.floor_char_boundary((at + gone).min(PLAIN.len()));
            let mut text = PLAIN.to_owned();
            text.replace_range(start..end, &put);
            agrees(&text);
        }
    }
}
