//! The file that keeps an encrypted folder's key, locked with a passphrase.
//!
//! The folder's key is drawn once; the passphrase locks that key only. It is stretched by Argon2id with the second
//! choice of RFC 9106, section 4: three passes over 64 MiB in four lanes.

use std::path::Path;

use argon2::{Algorithm, Argon2, Params, Version};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD_NO_PAD as BASE64;
use serde::Deserialize;
use zeroize::Zeroizing;

use super::error::StoreError;
use super::key::{Key, draw};
use super::shape::TRAINER_VERSION as VERSION;
use crate::document::Source;

/// The fewest characters of a new passphrase.
pub(crate) const SHORTEST: usize = 8;

/// How much work stands between a passphrase and the key.
#[derive(Debug, Clone, Copy)]
pub(crate) struct KdfCost {
    memory_kib: u32,
    passes: u32,
    lanes: u32,
}

pub(crate) const USUAL: KdfCost = KdfCost { memory_kib: 64 * 1024, passes: 3, lanes: 4 };
/// More than this is no file of ours: opening it could take all memory.
const MOST: KdfCost = KdfCost { memory_kib: 1024 * 1024, passes: 16, lanes: 16 };

/// The file as it is written.
#[derive(Debug, Deserialize)]
struct Written {
    version: toml::Spanned<i64>,
    salt: toml::Spanned<String>,
    memory_kib: u32,
    passes: u32,
    lanes: u32,
    key: toml::Spanned<String>,
}

/// So little that tests need not wait.
#[cfg(test)]
pub(crate) const LITTLE: KdfCost = KdfCost { memory_kib: 8, passes: 1, lanes: 1 };

/// Draws a key and gives the file that keeps it.
pub(crate) fn new_key(passphrase: &str, cost: KdfCost) -> Result<(Key, String), StoreError> {
    if passphrase.chars().count() < SHORTEST {
        return Err(StoreError::Unfit {
            what: "this passphrase".to_owned(),
            why: format!("it has fewer than {SHORTEST} characters; several words are best"),
        });
    }
    let key = Key::of(draw());
    let salt = *draw::<16>();
    let lock = stretched(passphrase, &salt, cost).ok_or_else(|| StoreError::Unfit {
        what: "this passphrase".to_owned(),
        why: "it is too long".to_owned(),
    })?;
    let text = format!(
        "# Opens the encrypted files beside it, together with the passphrase. Without this file they are lost:\n\
         # keep a copy of it wherever you keep copies of them.\n\
         version = {VERSION}\nsalt = \"{}\"\nmemory_kib = {}\npasses = {}\nlanes = {}\nkey = \"{}\"\n",
        BASE64.encode(salt),
        cost.memory_kib,
        cost.passes,
        cost.lanes,
        lock.seal(key.bytes(), &salt),
    );
    Ok((key, text))
}

/// Opens the key in the text of the file.
pub(crate) fn open(source: &Source, passphrase: &str) -> Result<Key, StoreError> {
    let remedy = "put back a copy from before";
    let broken = |span, message: &str| StoreError::broken(vec![source.flaw(span, message, remedy)]);
    let written: Written = toml::from_str(source.text())
        .map_err(|error| broken(error.span().unwrap_or(0..0), error.message()))?;
    let found = *written.version.get_ref();
    if found > VERSION {
        return Err(StoreError::Newer { path: source.path().to_owned(), found, known: VERSION });
    }
    let cost = KdfCost { memory_kib: written.memory_kib, passes: written.passes, lanes: written.lanes };
    if cost.memory_kib > MOST.memory_kib || cost.passes > MOST.passes || cost.lanes > MOST.lanes {
        return Err(broken(0..0, "it asks for more work than any file of this program"));
    }
    let salt = BASE64.decode(written.salt.get_ref()).ok();
    let salt = salt.ok_or_else(|| broken(written.salt.span(), "this is no salt"))?;
    let lock = stretched(passphrase, &salt, cost)
        .ok_or_else(|| broken(0..0, "salt, memory, passes and lanes do not go together"))?;
    let opened = lock.open(written.key.get_ref().as_bytes(), &salt).map(Zeroizing::new);
    let opened = opened.ok_or_else(|| StoreError::Passphrase { path: source.path().to_owned() })?;
    let mut bytes = Zeroizing::new([0; 32]);
    if opened.len() != bytes.len() {
        return Err(broken(written.key.span(), "this is no key"));
    }
    bytes.copy_from_slice(&opened);
    Ok(Key::of(bytes))
}

/// The key that locks the folder's key; nothing if the numbers do not go together.
fn stretched(passphrase: &str, salt: &[u8], cost: KdfCost) -> Option<Key> {
    let mut bytes = Zeroizing::new([0; 32]);
    let params = Params::new(cost.memory_kib, cost.passes, cost.lanes, Some(bytes.len())).ok()?;
    Argon2::new(Algorithm::Argon2id, Version::V0x13, params)
        .hash_password_into(passphrase.as_bytes(), salt, &mut *bytes)
        .ok()?;
    Some(Key::of(bytes))
}

/// Reads a passphrase from a file: its first line.
///
/// # Errors
/// If it cannot be read or is not text.
pub fn passphrase_from(path: &Path) -> Result<Zeroizing<String>, StoreError> {
    let (source, _) = super::cipher::read_text(path)?;
    Ok(Zeroizing::new(source.text().lines().next().unwrap_or_default().to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(text: &str) -> Source {
        Source::made("passphrase.toml".as_ref(), text.to_owned())
    }

    #[test]
    fn the_passphrase_opens_the_key_and_another_does_not() {
        let (key, text) = new_key("a cat on the roof", LITTLE).expect("long enough");
        assert_eq!(open(&source(&text), "a cat on the roof").expect("opens").bytes(), key.bytes());
        let refused = open(&source(&text), "a cat on the rook").expect_err("is wrong");
        assert_eq!(refused.to_string(), "this passphrase does not open passphrase.toml; give it again");
        assert!(new_key("short", USUAL).expect_err("is too short").to_string().contains("fewer than 8"));
        assert!(!format!("{key:?}").contains(char::is_numeric));
    }

    #[test]
    fn a_broken_file_is_refused_with_its_place_and_does_no_work() {
        let (_, text) = new_key("a cat on the roof", LITTLE).expect("long enough");
        for (from, to, said) in [
            ("passes = 1", "passes = 4000000000", "more work than any"),
            ("memory_kib = 8", "memory_kib = 4294967295", "more work than any"),
            ("memory_kib = 8", "memory_kib = 1", "do not go together"),
            ("salt = \"", "salt = \"?", "passphrase.toml:4:8: this is no salt"),
            ("version = 1", "version = 2", "has version 2"),
            ("lanes = 1\n", "", "missing field `lanes`"),
        ] {
            let refused = open(&source(&text.replace(from, to)), "a cat on the roof").expect_err(to);
            assert!(refused.to_string().contains(said), "{refused}");
        }
    }

    /// The reference implementation's own test of Argon2id, version 0x13, two passes over 64 MiB in one lane.
    #[test]
    fn the_stretching_is_the_published_one() {
        let cost = KdfCost { memory_kib: 65_536, passes: 2, lanes: 1 };
        let key = stretched("password", b"somesalt", cost).expect("fits");
        let expected = [
            0x09, 0x31, 0x61, 0x15, 0xd5, 0xcf, 0x24, 0xed, 0x5a, 0x15, 0xa3, 0x1a, 0x3b, 0xa3, 0x26, 0xe5,
            0xcf, 0x32, 0xed, 0xc2, 0x47, 0x02, 0x98, 0x7c, 0x02, 0xb6, 0x56, 0x6f, 0x61, 0x91, 0x3c, 0xf7,
        ];
        assert_eq!(*key.bytes(), expected);
    }
}
