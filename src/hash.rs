//! SHA-256, written one way.

use sha2::{Digest, Sha256};

/// SHA-256 of what is read in pieces.
#[derive(Debug, Clone, Default)]
pub struct Sum(Sha256);

impl Sum {
    /// Takes the next piece.
    pub fn add(&mut self, piece: &[u8]) {
        self.0.update(piece);
    }

    /// The hash of all pieces in lowercase hex.
    pub fn hex(self) -> String {
        format!("{:x}", self.0.finalize())
    }
}

/// SHA-256 of some bytes in lowercase hex.
pub fn sha256(bytes: &[u8]) -> String {
    format!("{:x}", Sha256::digest(bytes))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: FIPS 180-4 example, "abc" (NIST, Cryptographic Standards and Guidelines, example values);
    /// from memory.
    #[test]
    fn the_published_example() {
        assert_eq!(sha256(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
        let mut sum = Sum::default();
        sum.add(b"a");
        sum.add(b"bc");
        assert_eq!(sum.hex(), sha256(b"abc"));
    }
}
