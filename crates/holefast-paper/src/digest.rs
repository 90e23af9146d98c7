//! The digest of a job: eight figures that tell one version of a job from another.

use sha2::{Digest, Sha256};

/// First 32 bits of the SHA-256 of the job's text, as two groups: `5c1e 88a0`. Line ends count as
/// one character, so that the same file gives the same digest on every system.
pub fn digest(job_text: &str) -> String {
    let hash = Sha256::digest(job_text.replace("\r\n", "\n").as_bytes());
    let hex: String = hash.iter().take(4).map(|b| format!("{b:02x}")).collect();
    format!("{} {}", &hex[..4], &hex[4..])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_digest_is_that_of_sha256() {
        // FIPS 180-4's example for "abc" begins ba7816bf.
        assert_eq!(digest("abc"), "ba78 16bf");
        assert_eq!(digest("a\r\nb"), digest("a\nb"));
    }
}
