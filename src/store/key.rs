//! The key of an encrypted data folder, and sealing with it: XChaCha20-Poly1305.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD_NO_PAD as BASE64;
use chacha20poly1305::aead::rand_core::RngCore as _;
use chacha20poly1305::aead::{Aead as _, OsRng, Payload};
use chacha20poly1305::{KeyInit as _, XChaCha20Poly1305, XNonce};
use zeroize::Zeroizing;

const NONCE: usize = 24;

/// The key of a data folder.
pub(crate) struct Key(Zeroizing<[u8; 32]>);

/// Nothing of it may reach a log.
impl std::fmt::Debug for Key {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Key")
    }
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

    fn cipher(&self) -> XChaCha20Poly1305 {
        XChaCha20Poly1305::new((&*self.0).into())
    }

    /// Seals a text on one line, without its end.
    pub(crate) fn seal(&self, text: &[u8], binding: &[u8]) -> String {
        let nonce = draw::<NONCE>();
        let sealed = self
            .cipher()
            .encrypt(XNonce::from_slice(&*nonce), Payload { msg: text, aad: binding })
            .expect("a file is far shorter than the cipher's limit");
        BASE64.encode([&nonce[..], &sealed].concat())
    }

    /// Opens a line; nothing if it is not what this key sealed there.
    pub(crate) fn open(&self, line: &[u8], binding: &[u8]) -> Option<Vec<u8>> {
        let bytes = BASE64.decode(line).ok()?;
        let (nonce, sealed) = bytes.split_at_checked(NONCE)?;
        self.cipher().decrypt(XNonce::from_slice(nonce), Payload { msg: sealed, aad: binding }).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
