//! The bytes of a link: a digest and the deflated text, what jobs have in common left out.
//!
//! Deflate refers back to what it has seen (RFC 1951). Here it has seen `BEFORE` first, on both sides:
//! packing, it is deflated and flushed to a whole byte, and that part thrown away; unpacking, it is put
//! before the rest as a stored block.

use miniz_oxide::deflate::core::{
    CompressorOxide, TDEFLFlush, TDEFLStatus, compress, create_comp_flags_from_zip_params,
};
use miniz_oxide::inflate::{TINFLStatus, decompress_to_vec_with_limit};
use sha2::{Digest as _, Sha256};

use super::MOST_BYTES;

/// What jobs have in common: the tables that a job may have, new jobs in both units, the examples. The
/// nearest to the end cost least. Part of the format: a test holds it as it is.
const BEFORE: &[u8] = include_bytes!("before-1.txt");

/// Bytes of the digest.
const DIGEST: usize = 4;

/// Deflate tries so hard at most (0 to 10): a job takes a millisecond.
const HARDEST: i32 = 10;

/// What came out of a link.
pub(super) enum Unpacked {
    /// What was packed.
    Whole(Vec<u8>),
    /// Something else.
    Damaged,
    /// More than [`MOST_BYTES`].
    TooLong,
}

/// Packs a text.
pub(super) fn pack(text: &[u8]) -> Vec<u8> {
    /// Without zlib's head and foot.
    const RAW: i32 = 0;
    const PLAIN: i32 = 0;
    let mut compressor = CompressorOxide::new(create_comp_flags_from_zip_params(HARDEST, RAW, PLAIN));
    deflated(&mut compressor, BEFORE, TDEFLFlush::Sync);
    let mut packed = digest(text).to_vec();
    packed.extend(deflated(&mut compressor, text, TDEFLFlush::Finish));
    packed
}

fn deflated(compressor: &mut CompressorOxide, input: &[u8], flush: TDEFLFlush) -> Vec<u8> {
    let (mut out, mut written, mut read) = (vec![0; input.len() / 2 + 64], 0, 0);
    loop {
        let (status, taken, given) = compress(compressor, &input[read..], &mut out[written..], flush);
        read += taken;
        written += given;
        // All is out once there was room to spare.
        let spare = written < out.len() && read == input.len();
        if status == TDEFLStatus::Done || (status == TDEFLStatus::Okay && flush != TDEFLFlush::Finish && spare) {
            out.truncate(written);
            return out;
        }
        debug_assert_eq!(status, TDEFLStatus::Okay, "memory to memory, nothing can fail");
        let longer = 2 * out.len();
        out.resize(longer, 0);
    }
}

/// Unpacks what [`pack`] packed.
pub(super) fn unpack(packed: &[u8]) -> Unpacked {
    let Some((wanted, deflated)) = packed.split_at_checked(DIGEST) else { return Unpacked::Damaged };
    // A stored block that is not the last: its kind, its length and that length's complement.
    let length = u16::try_from(BEFORE.len()).expect("less than deflate's window of 32 kB");
    let mut stream = vec![0];
    stream.extend(length.to_le_bytes());
    stream.extend((!length).to_le_bytes());
    stream.extend(BEFORE);
    stream.extend(deflated);
    match decompress_to_vec_with_limit(&stream, BEFORE.len() + MOST_BYTES) {
        Ok(mut all) => {
            let text = all.split_off(BEFORE.len().min(all.len()));
            if digest(&text) == wanted { Unpacked::Whole(text) } else { Unpacked::Damaged }
        }
        Err(error) if error.status == TINFLStatus::HasMoreOutput => Unpacked::TooLong,
        Err(_) => Unpacked::Damaged,
    }
}

fn digest(text: &[u8]) -> [u8; DIGEST] {
    let all = Sha256::digest(text);
    [all[0], all[1], all[2], all[3]]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_stands_before_every_job_never_changes() {
        let all: String = Sha256::digest(BEFORE).iter().map(|b| format!("{b:02x}")).collect();
        assert_eq!(all, "474119f326a551cdf321b8599a29c2949023320587850978c2fd7ba01948a75c");
    }

    #[test]
    fn what_jobs_have_in_common_does_not_travel() {
        let example = include_bytes!("../../../../examples/first-top.toml");
        let alone = miniz_oxide::deflate::compress_to_vec(example, 10).len();
        let packed = pack(example).len();
        assert!(packed * 3 < alone, "{packed} bytes, {alone} without what stands before");
    }
}
