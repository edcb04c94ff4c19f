//! Tells a tail that was cut off while it was written from a file that a person broke.
//!
//! Every append ends with a line end, so what was cut off either ends in the middle of a line or, cut exactly
//! between two lines, is a session's header without all of its keys. Anything else that cannot be read is not
//! touched.

use std::path::Path;

use super::error::StoreError;
use super::sealed::Plaintext;
use crate::document::Source;

/// Where the half-written tail of a file begins, if the part before it can be read.
pub(crate) fn cut<T>(
    path: &Path,
    bytes: &[u8],
    read: impl Fn(&Source) -> Result<T, StoreError>,
) -> Option<usize> {
    // Bytes that never reached the disk come back as NUL, or as the first bytes of a longer character.
    let sound = match str::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => str::from_utf8(&bytes[..error.valid_up_to()]).ok()?,
    };
    let sound = sound.find('\0').map_or(sound, |nul| &sound[..nul]);
    if bytes[sound.len()..].contains(&b'\n') {
        return None;
    }
    let lines_end = sound.rfind('\n').map_or(0, |at| at + 1);
    if lines_end == 0 {
        return None;
    }
    let candidates = [Some(lines_end), header_start(&sound[..lines_end])];
    let reads = |cut: usize| read(&Source::made(path, sound[..cut].to_owned())).is_ok();
    candidates.into_iter().flatten().find(|&cut| cut < bytes.len() && reads(cut))
}

/// Where the last session begins, if it is the beginning of a header as this program writes it and no more.
fn header_start(text: &str) -> Option<usize> {
    let header = text.rfind("\n[[session]]").map(|at| at + 1)?;
    let mut lines = text[header..].lines();
    let keys = ["at", "minutes", "by", "trained", "consent"];
    let mut next = 0;
    let is_beginning = lines.next() == Some("[[session]]")
        && lines.all(|line| {
            let key = line.split_once(" = ").map_or("", |(key, _)| key);
            let found = keys[next..].iter().position(|known| *known == key);
            next += found.map_or(0, |at| at + 1);
            found.is_some()
        });
    is_beginning.then(|| text[..header].trim_end_matches(['\r', '\n']).len()).map(|end| {
        // The line end of the line before belongs to that line.
        text[end..].find('\n').map_or(end, |at| end + at + 1)
    })
}

/// Reads a file; where only the tail is half-written, gives the part before it and where the tail begins on the disk.
pub(crate) fn read_sound_part<T>(
    path: &Path,
    plaintext: Plaintext,
    read: impl Fn(&Source) -> Result<T, StoreError>,
) -> Result<(Source, T, Option<usize>), StoreError> {
    if plaintext.seal.is_some() {
        // What was appended to a sealed file is there as a whole or not at all.
        let source = Source::decode(path, plaintext.text)?;
        let found = read(&source)?;
        return Ok((source, found, plaintext.cut));
    }
    let bytes = plaintext.text.as_slice();
    let whole = Source::decode(path, bytes.to_vec())
        .map_err(StoreError::from)
        .and_then(|source| Ok((read(&source)?, source)));
    match whole {
        Ok((found, source)) => Ok((source, found, None)),
        Err(error @ StoreError::Broken { .. }) => {
            let Some(cut) = cut(path, bytes, &read) else { return Err(error) };
            let source = Source::decode(path, bytes[..cut].to_vec())?;
            let found = read(&source)?;
            Ok((source, found, Some(cut)))
        }
        Err(error) => Err(error),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::client::ClientId;

    const GOOD: &str = "version = 1\nname = \"Rosa\"\n\n[[session]]\nat = 2026-11-20T18:45:00+00:00\nminutes = 10\n\
        consent = \"hands-on\"\nreport.01 = { stretch = \"calf\", form = \"wall\", held_s = 30 }\n";

    fn check(text: &str, tail: Option<&str>) {
        let id = ClientId::new("rosa").expect("plain word");
        let read = |source: &Source| crate::store::read::client(&id, source);
        let found = cut(Path::new("rosa.toml"), text.as_bytes(), read);
        assert_eq!(found.map(|at| &text[at..]), tail, "{text}");
    }

    #[test]
    fn a_row_or_header_cut_anywhere_is_a_torn_tail_and_nothing_before_it_is() {
        let row = "report.02 = { stretch = \"calf\", form = \"wall\", held_s = 30, note = \"é\" }\n";
        for end in (1..row.len() - 2).filter(|&end| row.is_char_boundary(end)) {
            check(&format!("{GOOD}{}", &row[..end]), Some(&row[..end]));
        }
        let header =
            "\n[[session]]\nat = 2026-11-27T18:45:00+00:00\nminutes = 10\ntrained = { soleus = 2 }\n";
        for end in 12..header.len() {
            let tail = &header[..end];
            let id = ClientId::new("rosa").expect("plain word");
            let text = format!("{GOOD}{tail}");
            let read = |source: &Source| crate::store::read::client(&id, source);
            let found = cut(Path::new("rosa.toml"), text.as_bytes(), read).expect("torn");
            assert_eq!(text[..found].trim_end(), GOOD.trim_end(), "{text}");
        }
    }

    #[test]
    fn nul_bytes_at_the_end_are_a_torn_tail() {
        check(&format!("{GOOD}report.02\0\0\0\0"), Some("report.02\0\0\0\0"));
        check(&format!("{GOOD}\0\0\0"), Some("\0\0\0"));
    }

    #[test]
    fn what_a_person_broke_is_left_alone() {
        check(&GOOD.replace("held_s = 30", "held_s = "), None);
        check(&GOOD.replace("minutes = 10\n", ""), None);
        check("name = \"Ros", None);
        check("\0\0\0", None);
    }
}
