//! SHA-256, written one way.

use sha2::{Digest, Sha256};

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
    }
}
