//! Bytes as decimal figures: seven bytes in seventeen, which as a QR code cost 1.2 % more than the bytes
//! themselves would.

/// Bytes of a group; 256⁷ is less than 10¹⁷.
const GROUP: usize = 7;

/// Figures for so many bytes of a group: the fewest that hold them, each number of bytes another.
const FIGURES: [usize; GROUP + 1] = [0, 3, 5, 8, 10, 13, 15, 17];

/// Writes bytes as figures.
pub(super) fn write(bytes: &[u8]) -> String {
    let mut out = String::with_capacity(bytes.len() / GROUP * FIGURES[GROUP] + FIGURES[GROUP]);
    for group in bytes.chunks(GROUP) {
        let number = group.iter().fold(0_u64, |number, &byte| number << 8 | u64::from(byte));
        let width = FIGURES[group.len()];
        out.push_str(&format!("{number:0width$}"));
    }
    out
}

/// Reads them back; `None` for what was not written by [`write`].
pub(super) fn read(figures: &str) -> Option<Vec<u8>> {
    let mut out = Vec::with_capacity(figures.len() / FIGURES[GROUP] * GROUP + GROUP);
    for group in figures.as_bytes().chunks(FIGURES[GROUP]) {
        let bytes = FIGURES.iter().position(|&n| n == group.len())?;
        let mut number = 0_u64;
        for figure in group {
            if !figure.is_ascii_digit() {
                return None;
            }
            number = number * 10 + u64::from(figure - b'0');
        }
        let all = number.to_be_bytes();
        let (none, some) = all.split_at(all.len() - bytes);
        if none.iter().any(|&b| b != 0) {
            return None;
        }
        out.extend_from_slice(some);
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_number_of_bytes_has_the_fewest_figures_that_hold_it() {
        for (bytes, &figures) in FIGURES.iter().enumerate().skip(1) {
            let most = (1_u128 << (8 * bytes)) - 1;
            assert_eq!(most.to_string().len(), figures, "{bytes} bytes");
            assert_eq!(write(&vec![0xff; bytes]), most.to_string());
        }
    }

    #[test]
    fn what_nobody_wrote_is_refused() {
        // One figure, two; 256 in one byte; a letter; a sign.
        for figures in ["1", "12", "256", "1a2", "+12", "99999999999999999"] {
            assert_eq!(read(figures), None, "{figures}");
        }
        assert_eq!(read("007"), Some(vec![7]));
    }
}
