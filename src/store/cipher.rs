//! How a client's file stands on the disk where the data folder is encrypted.
//!
//! A sealed file is lines of ASCII. The first one names the format and a number that was drawn for this file. Each
//! other line is a piece of the text, sealed with the folder's key by XChaCha20-Poly1305 under a nonce of its own and
//! bound to the file's number and to its place. So a piece cannot be changed, moved, taken out of the middle or
//! brought in from another file unseen, and a report is appended as one more line. Only that lines are missing at the
//! end cannot be seen: such a file is one of an earlier moment.

use std::borrow::Cow;
use std::fs::File;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD_NO_PAD as BASE64;
use chacha20poly1305::aead::rand_core::RngCore as _;
use chacha20poly1305::aead::{Aead as _, OsRng, Payload};
use chacha20poly1305::{KeyInit as _, XChaCha20Poly1305, XNonce};
use zeroize::Zeroizing;

use super::disk::Disk;
use super::error::StoreError;
use super::files::{self, Stamp};

/// How every sealed file begins.
const MARK: &[u8] = b"matside-encrypted 1 ";
const NONCE: usize = 24;

/// The key of a data folder.
pub(crate) struct Key(Zeroizing<[u8; 32]>);

/// Nothing of it may reach a log.
impl std::fmt::Debug for Key {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Key")
    }
}

/// Where the next piece of a sealed file goes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct StreamPosition {
    file: [u8; 16],
    next: u64,
}

impl StreamPosition {
    fn binding(&self) -> [u8; 24] {
        let mut bound = [0; 24];
        bound[..16].copy_from_slice(&self.file);
        bound[16..].copy_from_slice(&self.next.to_le_bytes());
        bound
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
}

/// Draws bytes that nobody can guess.
pub(crate) fn draw<const N: usize>() -> Zeroizing<[u8; N]> {
    let mut bytes = Zeroizing::new([0; N]);
    OsRng.fill_bytes(&mut *bytes);
    bytes
}

impl Key {
    pub(crate) fn of(bytes: Zeroizing<[u8; 32]>) -> Self {
        Self(bytes)
    }

    pub(crate) fn bytes(&self) -> &[u8; 32] {
        &self.0
    }

    /// Seals a text on one line, without its end.
    pub(crate) fn seal(&self, text: &[u8], binding: &[u8]) -> String {
        let nonce = draw::<NONCE>();
        let sealed = XChaCha20Poly1305::new((&*self.0).into())
            .encrypt(XNonce::from_slice(&*nonce), Payload { msg: text, aad: binding })
            .expect("a file is far shorter than the cipher's limit");
        BASE64.encode([&nonce[..], &sealed].concat())
    }

    /// Opens a line; nothing if it is not what this key sealed there.
    pub(crate) fn open(&self, line: &[u8], binding: &[u8]) -> Option<Vec<u8>> {
        let bytes = BASE64.decode(line).ok()?;
        let (nonce, sealed) = bytes.split_at_checked(NONCE)?;
        XChaCha20Poly1305::new((&*self.0).into())
            .decrypt(XNonce::from_slice(nonce), Payload { msg: sealed, aad: binding })
            .ok()
    }

    /// A piece as the next line of a file.
    fn piece(&self, seal: &mut StreamPosition, text: &[u8]) -> Vec<u8> {
        let mut line = self.seal(text, &seal.binding()).into_bytes();
        line.push(b'\n');
        seal.next += 1;
        line
    }

    /// A whole file.
    fn file(&self, text: &[u8]) -> (Vec<u8>, StreamPosition) {
        let mut seal = StreamPosition { file: *draw::<16>(), next: 0 };
        let mut bytes = [MARK, BASE64.encode(seal.file).as_bytes(), b"\n"].concat();
        bytes.extend(self.piece(&mut seal, text));
        (bytes, seal)
    }

    pub(crate) fn open_file(&self, path: &Path, bytes: &[u8]) -> Result<Plaintext, StoreError> {
        let damaged = |line| StoreError::Damaged { path: path.to_owned(), line };
        let end = bytes.iter().rposition(|&byte| byte == b'\n').map_or(0, |at| at + 1);
        let mut lines =
            bytes[..end].split_inclusive(|&byte| byte == b'\n').map(|line| &line[..line.len() - 1]);
        let file =
            lines.next().and_then(|line| BASE64.decode(line.strip_prefix(MARK)?).ok()?.try_into().ok());
        let mut seal = StreamPosition { file: file.ok_or_else(|| damaged(1))?, next: 0 };
        let mut text = Vec::with_capacity(bytes.len() / 4 * 3);
        for line in lines {
            let number = usize::try_from(seal.next).unwrap_or(usize::MAX).saturating_add(2);
            text.extend(self.open(line, &seal.binding()).ok_or_else(|| damaged(number))?);
            seal.next += 1;
        }
        // A file is put in its place with its first piece.
        if seal.next == 0 {
            return Err(damaged(2));
        }
        Ok(Plaintext { text, seal: Some(seal), cut: (end < bytes.len()).then_some(end) })
    }
}

/// What is done to a client's file between the disk and everything that understands it.
#[derive(Debug, Clone)]
pub(crate) struct Cipher {
    /// The file that makes a folder an encrypted one.
    key_file: PathBuf,
    mode: CipherMode,
}

#[derive(Debug, Clone)]
enum CipherMode {
    /// Nothing; the folder is not encrypted.
    Plain,
    /// Nothing can be opened or written before the passphrase is given.
    Locked,
    /// All is sealed.
    Sealed(Arc<Key>),
    /// What is sealed can be read, and is written plainly.
    Unsealing(Arc<Key>),
}

impl Cipher {
    /// For a folder as it is found.
    pub(crate) fn of_folder(key_file: PathBuf) -> Self {
        let mode = if key_file.symlink_metadata().is_ok() { CipherMode::Locked } else { CipherMode::Plain };
        Self { key_file, mode }
    }

    /// For a file that is in no data folder.
    pub(crate) fn of_no_folder() -> Self {
        Self { key_file: PathBuf::new(), mode: CipherMode::Plain }
    }

    pub(crate) fn with(&self, key: Key) -> Self {
        Self { key_file: self.key_file.clone(), mode: CipherMode::Sealed(Arc::new(key)) }
    }

    /// The same, but everything is written plainly from now on; nothing if it has no key.
    pub(crate) fn unsealing(&self) -> Option<Self> {
        let key = Arc::clone(self.key()?);
        Some(Self { key_file: self.key_file.clone(), mode: CipherMode::Unsealing(key) })
    }

    /// Whether the folder is not encrypted.
    pub(crate) fn is_plain(&self) -> bool {
        matches!(self.mode, CipherMode::Plain)
    }

    pub(crate) fn is_locked(&self) -> bool {
        matches!(self.mode, CipherMode::Locked)
    }

    fn key(&self) -> Option<&Arc<Key>> {
        match &self.mode {
            CipherMode::Sealed(key) | CipherMode::Unsealing(key) => Some(key),
            CipherMode::Plain | CipherMode::Locked => None,
        }
    }

    /// Whether a file stands on the disk as this folder wants it.
    pub(crate) fn fits(&self, opened: &Plaintext) -> bool {
        match self.mode {
            CipherMode::Plain | CipherMode::Unsealing(_) => opened.seal.is_none(),
            CipherMode::Sealed(_) => opened.seal.is_some(),
            // Nothing may be written, so nothing is right.
            CipherMode::Locked => false,
        }
    }

    /// The text of a file that was read.
    pub(crate) fn open(&self, path: &Path, bytes: Vec<u8>) -> Result<Plaintext, StoreError> {
        let opened = if bytes.starts_with(MARK) {
            let key = self.key().ok_or_else(|| self.closed(path))?;
            key.open_file(path, &bytes)?
        } else {
            Plaintext { text: bytes, seal: None, cut: None }
        };
        let size = opened.text.len() as u64;
        if size > files::CAP {
            return Err(StoreError::TooBig { path: path.to_owned(), bytes: size, cap: files::CAP });
        }
        Ok(opened)
    }

    /// Reads a file.
    pub(crate) fn read(&self, path: &Path) -> Result<(Plaintext, Stamp), StoreError> {
        let (bytes, stamp) = files::read(path)?;
        Ok((self.open(path, bytes)?, stamp))
    }

    /// A whole text as it is to stand on the disk, and what goes on with it there.
    pub(crate) fn whole<'t>(
        &self,
        path: &Path,
        text: &'t [u8],
    ) -> Result<(Cow<'t, [u8]>, Option<StreamPosition>), StoreError> {
        let is_encrypted = self.key_file.symlink_metadata().is_ok();
        match &self.mode {
            CipherMode::Sealed(key) if is_encrypted => {
                let (bytes, seal) = key.file(text);
                Ok((bytes.into(), Some(seal)))
            }
            CipherMode::Plain if !is_encrypted => Ok((text.into(), None)),
            CipherMode::Unsealing(_) => Ok((text.into(), None)),
            // Another program has encrypted or decrypted the folder since it was opened here.
            CipherMode::Sealed(_) | CipherMode::Plain | CipherMode::Locked => Err(self.closed(path)),
        }
    }

    /// A text that is appended, as it is to stand on the disk, and what goes on with it there.
    pub(crate) fn piece<'t>(
        &self,
        seal: Option<&StreamPosition>,
        text: &'t [u8],
    ) -> (Cow<'t, [u8]>, Option<StreamPosition>) {
        match (self.key(), seal) {
            (Some(key), Some(seal)) => {
                let mut seal = seal.clone();
                let line = key.piece(&mut seal, text);
                (line.into(), Some(seal))
            }
            _ => (text.into(), None),
        }
    }

    /// Puts a file that can be read into the form that this folder wants. The old one gives way only when the new
    /// one is on the disk and was read back.
    pub(crate) fn convert(&self, disk: &Arc<dyn Disk>, path: &Path, text: &[u8]) -> Result<File, StoreError> {
        let (bytes, _) = self.whole(path, text)?;
        files::replace_if(disk, path, &bytes, |made| {
            self.open(made, files::read(made)?.0).map(|opened| opened.text == text)
        })
    }

    fn closed(&self, path: &Path) -> StoreError {
        let is_encrypted = self.key_file.symlink_metadata().is_ok();
        StoreError::Sealed {
            path: path.to_owned(),
            remedy: match self.mode {
                CipherMode::Locked => "give the passphrase",
                _ if self.key_file.as_os_str().is_empty() => "name that folder with --data",
                _ if is_encrypted => "start matside again and give the passphrase",
                _ => "put passphrase.toml back into the data folder, or start matside again",
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key() -> Key {
        Key::of(draw())
    }

    fn path() -> &'static Path {
        Path::new("rosa.toml")
    }

    /// A file of three pieces.
    fn sample(key: &Key) -> Vec<u8> {
        let (mut bytes, mut seal) = key.file(b"one\n");
        bytes.extend(key.piece(&mut seal, b"two\n"));
        bytes.extend(key.piece(&mut seal, b"three\n"));
        bytes
    }

    #[test]
    fn pieces_come_back_in_their_order_and_show_nothing() {
        let key = key();
        let bytes = sample(&key);
        let opened = key.open_file(path(), &bytes).expect("opens");
        assert_eq!(opened.text, b"one\ntwo\nthree\n");
        assert_eq!((opened.seal.expect("is sealed").next, opened.cut), (3, None));
        assert!(bytes.is_ascii() && !bytes.windows(3).any(|part| part == b"two"));
        assert_ne!(bytes, sample(&key), "every file has a number and nonces of its own");
    }

    #[test]
    fn any_flipped_bit_is_named_with_its_line() {
        let key = key();
        let bytes = sample(&key);
        for at in 0..bytes.len() {
            for bit in 0..8 {
                let mut changed = bytes.clone();
                changed[at] ^= 1 << bit;
                if !changed.starts_with(MARK) {
                    continue;
                }
                match key.open_file(path(), &changed) {
                    Err(StoreError::Damaged { line, .. }) => {
                        // A file number that was changed shows in the first piece, a line end in the line before.
                        let there = bytes[..at].split(|&byte| byte == b'\n').count();
                        assert!((there..=there + 1).contains(&line), "byte {at}, bit {bit}: line {line}");
                    }
                    // The last line end is gone: that looks like a half-written line, and is set aside as such.
                    Ok(opened) => {
                        assert_eq!((at, opened.text.as_slice()), (bytes.len() - 1, &b"one\ntwo\n"[..]));
                        assert!(opened.cut.is_some());
                    }
                    Err(other) => panic!("{other}"),
                }
            }
        }
    }

    #[test]
    fn lines_that_are_moved_repeated_missing_or_from_elsewhere_are_named() {
        let key = key();
        let (one, two) = (sample(&key), sample(&key));
        let lines = |bytes: &[u8]| -> Vec<Vec<u8>> {
            bytes.split_inclusive(|&byte| byte == b'\n').map(<[u8]>::to_vec).collect()
        };
        let (one, two) = (lines(&one), lines(&two));
        let line_of = |lines: &[&Vec<u8>]| {
            let bytes: Vec<u8> = lines.iter().flat_map(|line| line.iter().copied()).collect();
            match key.open_file(path(), &bytes) {
                Err(StoreError::Damaged { line, .. }) => Some(line),
                _ => None,
            }
        };
        assert_eq!(line_of(&[&one[0], &one[2], &one[1], &one[3]]), Some(2), "moved");
        assert_eq!(line_of(&[&one[0], &one[1], &one[1], &one[2]]), Some(3), "repeated");
        assert_eq!(line_of(&[&one[0], &one[1], &one[3]]), Some(3), "missing");
        assert_eq!(line_of(&[&one[0], &one[1], &two[2]]), Some(3), "from another file");
        assert_eq!(line_of(&[&one[0]]), Some(2), "nothing");
        let other = Key::of(draw());
        let whole: Vec<u8> = one.concat();
        assert!(matches!(other.open_file(path(), &whole), Err(StoreError::Damaged { line: 2, .. })));
    }

    #[test]
    fn a_line_that_was_cut_off_anywhere_leaves_the_pieces_before_it() {
        let key = key();
        let (mut bytes, mut seal) = key.file(b"one\n");
        let sound = bytes.len();
        bytes.extend(key.piece(&mut seal, b"two\n"));
        for end in sound + 1..bytes.len() {
            let opened = key.open_file(path(), &bytes[..end]).expect("opens");
            assert_eq!((opened.text.as_slice(), opened.cut), (&b"one\n"[..], Some(sound)));
        }
    }

    /// The draft of XChaCha20-Poly1305, draft-irtf-cfrg-xchacha-03, appendix A.3.1.
    #[test]
    fn the_cipher_is_the_published_one() {
        let text =
            b"Ladies and Gentlemen of the class of '99: If I could offer you only one tip for the future, \
            sunscreen would be it.";
        let key: Vec<u8> = (0x80..0xa0).collect();
        let nonce: Vec<u8> = (0x40..0x58).collect();
        let aad = [0x50, 0x51, 0x52, 0x53, 0xc0, 0xc1, 0xc2, 0xc3, 0xc4, 0xc5, 0xc6, 0xc7];
        let sealed = XChaCha20Poly1305::new_from_slice(&key)
            .expect("a key")
            .encrypt(XNonce::from_slice(&nonce), Payload { msg: text, aad: &aad })
            .expect("seals");
        let tag =
            [0xc0, 0x87, 0x59, 0x24, 0xc1, 0xc7, 0x98, 0x79, 0x47, 0xde, 0xaf, 0xd8, 0x78, 0x0a, 0xcf, 0x49];
        assert_eq!(sealed[..8], [0xbd, 0x6d, 0x17, 0x9d, 0x3e, 0x83, 0xd4, 0x3b]);
        assert_eq!(sealed[text.len()..], tag);
    }
}
