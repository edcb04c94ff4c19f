//! A sealed file: how a text stands on the disk where the data folder is encrypted.
//!
//! It is lines of ASCII, an empty one after each, so that a line end that is damaged does not join two of them. The
//! first two say the same: the format, a number that was drawn for this file, and whose file it is. Each other line is a
//! piece of the text: its place, and the words, sealed with the folder's key by XChaCha20-Poly1305 under a nonce of its
//! own and bound to the file's number, to the place and to the client. What stands before the sessions is the first
//! piece and the second, each session is a piece of its own, and so is whatever is appended. So a piece cannot be
//! changed, moved, taken out of the middle or brought in from another file or client unseen, and where one is damaged
//! the others can be read. Only that lines are missing at the end cannot be seen: such a file is one of an earlier
//! moment. In the first format the whole text was one piece, bound to no client.

use std::collections::BTreeSet;
use std::path::Path;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD_NO_PAD as BASE64;

use crate::client::ClientId;

use super::error::StoreError;
use super::key::{Key, draw};
use super::shape::SESSION_HEADER;
use super::text_cut;

/// How the first lines of every sealed file begin; the format's number follows.
const MARK: &[u8] = b"matside-encrypted ";
const OLD_MARK: &[u8] = b"matside-encrypted 1 ";
const FORMAT: i64 = 2;
/// How often the text before the sessions stands in a file.
pub(crate) const HEADS: u64 = 2;

/// Where the next piece of a sealed file goes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct StreamPosition {
    pub(crate) file: [u8; 16],
    /// Whose file it is; nobody's in the first format.
    pub(crate) owner: Option<ClientId>,
    pub(crate) next: u64,
}

impl StreamPosition {
    /// What a piece at a place is bound to.
    pub(crate) fn binding(&self, place: u64) -> Vec<u8> {
        let owner = self.owner.as_ref().map_or("", ClientId::as_str);
        [&self.file[..], &place.to_le_bytes(), owner.as_bytes()].concat()
    }

    pub(crate) fn owner(&self) -> Option<&ClientId> {
        self.owner.as_ref()
    }

    /// One of the first lines of a file.
    fn of_line(line: &[u8]) -> Option<Self> {
        let mut words = str::from_utf8(line.strip_prefix(MARK)?).ok()?.split(' ');
        if words.next()?.parse() != Ok(FORMAT) {
            return None;
        }
        let file = BASE64.decode(words.next()?).ok()?.try_into().ok()?;
        let owner = Some(ClientId::new(words.next()?).ok()?);
        words.next().is_none().then_some(Self { file, owner, next: 0 })
    }
}

/// The text of a file, and how it stands on the disk.
#[derive(Debug)]
pub(crate) struct Plaintext {
    pub(crate) text: Vec<u8>,
    /// What goes on with the file, if it is sealed.
    pub(crate) seal: Option<StreamPosition>,
    /// Where a half-written line of a sealed file begins, in its bytes on the disk.
    pub(crate) cut: Option<usize>,
    /// Lines of a sealed file, from 1, that are damaged or belong to something that is. They are not in the text.
    pub(crate) lost: BTreeSet<usize>,
}

impl Plaintext {
    /// A text that is not sealed.
    pub(crate) fn plain(text: Vec<u8>) -> Self {
        Self { text, seal: None, cut: None, lost: BTreeSet::new() }
    }
}

/// The lines that are not empty, each with its number from 1.
pub(crate) fn lines(bytes: &[u8]) -> impl Iterator<Item = (usize, &[u8])> + Clone {
    (1..).zip(bytes.split(|&byte| byte == b'\n')).filter(|(_, line)| !line.is_empty())
}

/// Whether the bytes of a file are sealed.
pub(crate) fn is_sealed(bytes: &[u8]) -> bool {
    lines(bytes).take(3).any(|(_, line)| line.starts_with(MARK))
}

/// Where each piece of a whole text begins after the first. The whole is one piece if it is not certain that all but
/// sessions stands before them.
fn session_starts(text: &[u8]) -> Vec<usize> {
    let text = str::from_utf8(text).unwrap_or_default();
    if text_cut::before_sessions(text) == text { Vec::new() } else { text_cut::header_lines(text) }
}

/// Whether a piece begins a session, so that nothing before it is needed to understand it.
fn begins_session(piece: &[u8]) -> bool {
    piece.trim_ascii_start().starts_with(SESSION_HEADER.as_bytes())
}

/// Whether an addition may become a piece of its own: what is not about sessions stands in the first piece, which is
/// there twice.
pub(crate) fn may_append(before: &str, added: &str) -> bool {
    begins_session(added.as_bytes()) || !text_cut::header_lines(before).is_empty()
}

impl Key {
    /// A piece as the next line of a file.
    pub(crate) fn piece(&self, seal: &mut StreamPosition, text: &[u8]) -> Vec<u8> {
        let line = format!("{} {}\n\n", seal.next, self.seal(text, &seal.binding(seal.next)));
        seal.next += 1;
        line.into_bytes()
    }

    /// A whole file of a client.
    pub(crate) fn file(&self, owner: &ClientId, text: &[u8]) -> (Vec<u8>, StreamPosition) {
        let mut seal = StreamPosition { file: *draw::<16>(), owner: Some(owner.clone()), next: 0 };
        let mark = str::from_utf8(MARK).expect("is ASCII");
        let header = format!("{mark}{FORMAT} {} {owner}\n\n", BASE64.encode(seal.file));
        let mut bytes = header.repeat(2).into_bytes();
        let starts = session_starts(text);
        let head = &text[..starts.first().copied().unwrap_or(text.len())];
        for _ in 0..HEADS {
            bytes.extend(self.piece(&mut seal, head));
        }
        let ends = starts.iter().skip(1).copied().chain([text.len()]);
        for (&start, end) in starts.iter().zip(ends) {
            bytes.extend(self.piece(&mut seal, &text[start..end]));
        }
        (bytes, seal)
    }

    /// The text of a sealed file.
    pub(crate) fn open_file(&self, path: &Path, bytes: &[u8]) -> Result<Plaintext, StoreError> {
        // What follows the last line end was being written.
        let end = bytes.iter().rposition(|&byte| byte == b'\n').map_or(0, |at| at + 1);
        let (whole, cut) = (&bytes[..end], (end < bytes.len()).then_some(end));
        if whole.starts_with(OLD_MARK) {
            return Ok(Plaintext { cut, ..self.open_old(path, whole)? });
        }
        let first = || lines(whole).take(3).map(|(_, line)| line);
        let headers: Vec<_> = first().filter_map(StreamPosition::of_line).collect();
        let newer = first().filter_map(format_of).find(|found| headers.is_empty() && *found > FORMAT);
        if let Some(found) = newer {
            return Err(StoreError::Newer { path: path.to_owned(), found, known: FORMAT });
        }
        let opened = headers.into_iter().find_map(|header| self.pieces(header, whole));
        let opened = opened.ok_or_else(|| {
            let line = lines(whole).nth(2).map_or(1, |(number, _)| number);
            StoreError::Damaged { path: path.to_owned(), line }
        })?;
        Ok(Plaintext { cut, ..opened })
    }

    /// Opens every piece that can be opened; nothing if what stands before the sessions cannot.
    fn pieces(&self, mut seal: StreamPosition, bytes: &[u8]) -> Option<Plaintext> {
        let mut opened = Plaintext::plain(Vec::with_capacity(bytes.len() / 4 * 3));
        let (mut has_head, mut is_broken) = (false, false);
        for (number, line) in lines(bytes) {
            if StreamPosition::of_line(line).is_some_and(|header| header.binding(0) == seal.binding(0)) {
                continue;
            }
            let piece = place_of(line).filter(|(place, _)| *place >= seal.next);
            let piece = piece.and_then(|(place, line)| Some((place, self.open(line, &seal.binding(place))?)));
            let Some((place, piece)) = piece else {
                opened.lost.insert(number);
                continue;
            };
            // Behind something that is missing, only a session's beginning stands for itself.
            let is_gap = place > seal.next.max(HEADS);
            is_broken |= is_gap;
            seal.next = place + 1;
            if place < HEADS {
                opened.text.extend(if has_head { Vec::new() } else { piece });
                has_head = true;
            } else if is_broken && !begins_session(&piece) {
                opened.lost.insert(number);
            } else {
                if is_gap && opened.lost.is_empty() {
                    opened.lost.insert(number);
                }
                is_broken = false;
                opened.text.extend(piece);
            }
        }
        opened.seal = Some(seal);
        has_head.then_some(opened)
    }

    /// The text of a file in the first format: any damage costs the whole.
    fn open_old(&self, path: &Path, bytes: &[u8]) -> Result<Plaintext, StoreError> {
        let damaged = |line| StoreError::Damaged { path: path.to_owned(), line };
        let mut lines = bytes.split_inclusive(|&byte| byte == b'\n').map(|line| &line[..line.len() - 1]);
        let file =
            lines.next().and_then(|line| BASE64.decode(line.strip_prefix(OLD_MARK)?).ok()?.try_into().ok());
        let mut seal = StreamPosition { file: file.ok_or_else(|| damaged(1))?, owner: None, next: 0 };
        let mut text = Vec::with_capacity(bytes.len() / 4 * 3);
        for line in lines {
            let number = usize::try_from(seal.next).unwrap_or(usize::MAX).saturating_add(2);
            text.extend(self.open(line, &seal.binding(seal.next)).ok_or_else(|| damaged(number))?);
            seal.next += 1;
        }
        // A file is put in its place with its first piece.
        if seal.next == 0 {
            return Err(damaged(2));
        }
        Ok(Plaintext { seal: Some(seal), ..Plaintext::plain(text) })
    }
}

/// The number of the format in one of the first lines.
fn format_of(line: &[u8]) -> Option<i64> {
    str::from_utf8(line.strip_prefix(MARK)?).ok()?.split(' ').next()?.parse().ok()
}

/// The place of a piece, and the words behind it.
pub(crate) fn place_of(line: &[u8]) -> Option<(u64, &[u8])> {
    let space = line.iter().position(|&byte| byte == b' ')?;
    let place = str::from_utf8(&line[..space]).ok()?.parse().ok()?;
    Some((place, &line[space + 1..]))
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;

    const HEAD: &str = "version = 2\nname = \"Rosa\"\n";

    fn key() -> Key {
        Key::of(draw())
    }

    fn path() -> &'static Path {
        Path::new("rosa.toml")
    }

    fn id() -> ClientId {
        ClientId::new("rosa").expect("plain word")
    }

    fn session(day: u32) -> String {
        format!("[[session]]\nat = 2026-11-{day:02}T18:45:00+00:00\nminutes = 10\nconsent = \"hands-on\"\n")
    }

    fn row(number: u32) -> String {
        format!("report.{number:02} = {{ stretch = \"calf\", form = \"wall\", held_s = 30 }}\n")
    }

    /// The pieces of a client's text: two sessions that were there, and one that was appended line by line.
    fn pieces() -> [String; 6] {
        let one = format!("{}{}\n", session(1), row(1));
        [format!("{HEAD}\n"), one, session(2) + &row(1), format!("\n{}", session(3)), row(1), row(2)]
    }

    fn sample(key: &Key) -> Vec<u8> {
        let pieces = pieces();
        let (mut bytes, mut seal) = key.file(&id(), pieces[..3].concat().as_bytes());
        for piece in &pieces[3..] {
            bytes.extend(key.piece(&mut seal, piece.as_bytes()));
        }
        bytes
    }

    fn text(opened: &Plaintext) -> &str {
        str::from_utf8(&opened.text).expect("is text")
    }

    /// Which pieces are in an opened text, all of them whole.
    fn found(opened: &Plaintext) -> Vec<usize> {
        let mut rest = text(opened);
        let mut found = Vec::new();
        for (index, piece) in pieces().iter().enumerate() {
            if let Some(after) = rest.strip_prefix(piece.as_str()) {
                rest = after;
                found.push(index);
            }
        }
        assert_eq!(rest, "", "something else is in {:?}", text(opened));
        found
    }

    #[test]
    fn pieces_come_back_in_their_order_and_show_nothing() {
        let key = key();
        let bytes = sample(&key);
        let opened = key.open_file(path(), &bytes).expect("opens");
        assert_eq!(found(&opened), [0, 1, 2, 3, 4, 5]);
        let seal = opened.seal.expect("is sealed");
        assert_eq!((seal.next, seal.owner(), opened.cut), (7, Some(&id()), None));
        assert!(opened.lost.is_empty());
        assert!(bytes.is_ascii() && !bytes.windows(4).any(|part| part == b"calf"));
        assert_ne!(bytes, sample(&key), "every file has a number and nonces of its own");
    }

    #[test]
    fn any_flipped_bit_costs_one_session_at_most_and_is_named() {
        let key = key();
        let bytes = sample(&key);
        let mut costs: BTreeMap<Vec<usize>, usize> = BTreeMap::new();
        let is_sealed_text = |at: usize| at > 120 && !bytes[at].is_ascii_whitespace();
        let all = (0..bytes.len()).flat_map(|at| (0..8).map(move |bit| (at, bit)));
        // Of the sealed words themselves one bit a byte is enough.
        for (at, bit) in all.filter(|&(at, bit)| !is_sealed_text(at) || bit == at % 8) {
            let what = format!("byte {at}, bit {bit}");
            let mut changed = bytes.clone();
            changed[at] ^= 1 << bit;
            assert!(is_sealed(&changed), "{what}");
            let opened = key.open_file(path(), &changed).unwrap_or_else(|error| panic!("{what}: {error}"));
            let found = found(&opened);
            let lost: Vec<usize> = (0..6).filter(|piece| !found.contains(piece)).collect();
            // One session, or rows at the end of the last one.
            let sessions: &[&[usize]] = &[&[], &[1], &[2], &[3, 4, 5], &[4, 5], &[5]];
            let is_named = lost.is_empty() || !opened.lost.is_empty() || opened.cut.is_some();
            assert!(is_named && sessions.contains(&&*lost), "{what}: {lost:?} are gone");
            *costs.entry(lost).or_default() += 1;
        }
        assert_eq!(costs.len(), 6, "{costs:?}");
    }

    #[test]
    fn lines_that_are_moved_repeated_missing_or_from_elsewhere_are_named() {
        let key = key();
        let split = |bytes: &[u8]| -> Vec<Vec<u8>> {
            let lines = bytes.split_inclusive(|&byte| byte == b'\n').filter(|line| line.len() > 1);
            lines.map(<[u8]>::to_vec).collect()
        };
        // Lines 0 and 1 are the file's number, 2 and 3 what is before the sessions.
        let (one, two) = (split(&sample(&key)), split(&sample(&key)));
        let of = |lines: &[&Vec<u8>]| {
            let opened =
                key.open_file(path(), &lines.iter().copied().flatten().copied().collect::<Vec<u8>>());
            opened.ok().map(|opened| (found(&opened), opened.lost.iter().copied().collect::<Vec<usize>>()))
        };
        let with = |lines: &[&Vec<u8>]| of(&[&[&one[0], &one[1], &one[2], &one[3]], lines].concat());
        assert_eq!(with(&[&one[5], &one[4], &one[6]]), Some((vec![0, 2, 3], vec![5, 6])), "moved");
        assert_eq!(with(&[&one[4], &one[4], &one[5]]), Some((vec![0, 1, 2], vec![6])), "repeated");
        assert_eq!(with(&[&one[4], &one[6], &one[7]]), Some((vec![0, 1, 3, 4], vec![6])), "missing");
        assert_eq!(with(&[&one[4], &one[5], &one[6], &one[8]]), Some((vec![0, 1, 2, 3], vec![8])), "a row");
        assert_eq!(with(&[&one[4], &two[5], &one[6]]), Some((vec![0, 1, 3], vec![6])), "from another file");
        assert_eq!(of(&[&one[0], &one[1], &one[4]]), None, "nothing says who it is");
        assert_eq!(of(&[&one[0], &one[1]]), None, "nothing");
        let whole: Vec<u8> = one.concat();
        let refused = |key: &Key, bytes: &[u8]| key.open_file(path(), bytes).expect_err("is refused");
        let other = Key::of(draw());
        assert!(matches!(refused(&other, &whole), StoreError::Damaged { line: 3, .. }));
        let renamed = String::from_utf8(whole).expect("is ASCII").replace(" rosa\n", " mira\n");
        assert!(matches!(refused(&key, renamed.as_bytes()), StoreError::Damaged { line: 3, .. }));
        let newer = renamed.replace("matside-encrypted 2", "matside-encrypted 3");
        assert!(matches!(refused(&key, newer.as_bytes()), StoreError::Newer { found: 3, known: 2, .. }));
    }

    #[test]
    fn a_line_that_was_cut_off_anywhere_leaves_the_pieces_before_it() {
        let key = key();
        let (mut bytes, mut seal) = key.file(&id(), HEAD.as_bytes());
        let sound = bytes.len();
        bytes.extend(key.piece(&mut seal, session(1).as_bytes()));
        for end in sound + 1..bytes.len() - 1 {
            let opened = key.open_file(path(), &bytes[..end]).expect("opens");
            assert_eq!((text(&opened), opened.cut, opened.lost.len()), (HEAD, Some(sound), 0));
        }
        // Only the empty line behind it is missing: it is whole, and another one can follow.
        bytes.pop();
        bytes.extend(key.piece(&mut seal, row(1).as_bytes()));
        let opened = key.open_file(path(), &bytes).expect("opens");
        assert_eq!(text(&opened), [HEAD, &session(1), &row(1)].concat());
    }

    #[test]
    fn a_text_that_cannot_be_cut_for_certain_is_one_piece() {
        for odd in ["\n[[condition]]\nid = \"x\"\n", "note = '''\n[[session]]\n'''\n[x]\n"] {
            let (key, whole) = (key(), [HEAD, &session(1), odd].concat());
            let (bytes, seal) = key.file(&id(), whole.as_bytes());
            assert_eq!((seal.next, text(&key.open_file(path(), &bytes).expect("opens"))), (HEADS, &*whole));
        }
    }

    #[test]
    fn the_first_format_is_read_and_its_pieces_are_bound_to_nobody() {
        let key = key();
        let seal = StreamPosition { file: [7; 16], owner: None, next: 0 };
        let mut bytes = [OLD_MARK, BASE64.encode(seal.file).as_bytes(), b"\n"].concat();
        for (place, piece) in (0..).zip([HEAD.to_owned() + &session(1), row(1)]) {
            bytes.extend(key.seal(piece.as_bytes(), &seal.binding(place)).into_bytes());
            bytes.push(b'\n');
        }
        let opened = key.open_file(path(), &bytes).expect("opens");
        assert_eq!(text(&opened), [HEAD, &session(1), &row(1)].concat());
        assert_eq!(opened.seal.expect("is sealed").owner(), None);
        let at = bytes.len() - 9;
        bytes[at] ^= 1;
        assert!(matches!(key.open_file(path(), &bytes), Err(StoreError::Damaged { line: 3, .. })));
    }
}
