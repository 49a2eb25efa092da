//! The checksum that tells two texts apart.

/// The polynomial of ISO 3309 and IEEE 802.3, its bits in reverse (published in both; from memory).
const POLYNOMIAL: u32 = 0xedb8_8320;

const TABLE: [u32; 256] = table();

const fn table() -> [u32; 256] {
    let mut table = [0; 256];
    let mut byte = 0;
    while byte < 256 {
        let mut sum = byte as u32;
        let mut bit = 0;
        while bit < 8 {
            sum = if sum & 1 == 0 { sum >> 1 } else { sum >> 1 ^ POLYNOMIAL };
            bit += 1;
        }
        table[byte] = sum;
        byte += 1;
    }
    table
}

/// The 32-bit cyclic redundancy check of ISO 3309 and IEEE 802.3. It tells a changed file, not a forged one.
pub fn checksum(text: &[u8]) -> u32 {
    !text.iter().fold(!0, |sum, byte| sum >> 8 ^ TABLE[((sum ^ u32::from(*byte)) & 0xff) as usize])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One bit at a time, without a table.
    fn slow(text: &[u8]) -> u32 {
        let mut sum = u32::MAX;
        for byte in text {
            sum ^= u32::from(*byte);
            for _ in 0..8 {
                sum = if sum & 1 == 1 { sum >> 1 ^ POLYNOMIAL } else { sum >> 1 };
            }
        }
        !sum
    }

    #[test]
    fn check_value_of_the_nine_digits() {
        // Published check value of this polynomial (from memory).
        assert_eq!(checksum(b"123456789"), 0xcbf4_3926);
        assert_eq!(checksum(b""), 0);
    }

    #[test]
    fn table_and_bits_agree() {
        let text: Vec<u8> = (0..1000_u32).map(|n| (n * n % 251) as u8).collect();
        for length in 0..text.len() {
            assert_eq!(checksum(&text[..length]), slow(&text[..length]));
        }
    }
}
