//! Files that are no program, told by their first bytes, so that the message says what was opened instead of what is
//! missing in it. The marks are those of the formats' published descriptions.

use std::path::Path;

use super::Kind;
use crate::trouble::Trouble;

/// How much of a file is looked at.
const HEAD: usize = 4096;

/// Formats by the bytes that they begin with.
const MARKS: [(&[u8], &str); 12] = [
    (b"\x89PNG\r\n\x1a\n", "a picture (PNG)"),
    (b"\xff\xd8\xff", "a picture (JPEG)"),
    (b"GIF8", "a picture (GIF)"),
    (b"BM", "a picture (BMP)"),
    (b"%PDF-", "a PDF document"),
    (b"PK\x03\x04", "a ZIP archive, or a document made of one"),
    (b"\x1f\x8b", "a compressed file (gzip)"),
    (b"7z\xbc\xaf\x27\x1c", "a compressed file (7z)"),
    (b"\x7fELF", "a program for this computer, not for a machine"),
    (b"MZ", "a program for a computer (EXE), not for a machine"),
    (b"\xcf\xfa\xed\xfe", "a program for a computer, not for a machine"),
    (b"\xd0\xcf\x11\xe0", "an office document"),
];

/// What a file is that holds no program; `None` when it may hold one.
pub(super) fn stranger(path: &Path, bytes: &[u8]) -> Option<Trouble> {
    let head = &bytes[..bytes.len().min(HEAD)];
    let trouble = |what: &str, remedy: &str| Some(Trouble::with_file(path, what, remedy));
    if is_utf16(head) {
        return trouble(
            "is text in UTF-16, two bytes a letter, which no control reads",
            "save it again as plain text (ASCII or UTF-8)",
        );
    }
    let mark = MARKS.iter().find(|(mark, _)| head.starts_with(mark));
    // Two letters may also begin a text.
    let told = mark.filter(|(mark, _)| mark.len() > 2 || !is_text(head));
    if let Some((_, what)) = told {
        return trouble(&format!("is {what}"), "open a job file or a program");
    }
    if Kind::of_program(path, head, bytes.len() == head.len()) == Kind::Drawing {
        return trouble(
            "is a drawing, not a program",
            "open the job or the program first, and import it there; or name it in the job as its outline or edge",
        );
    }
    if is_text(head) {
        None
    } else {
        trouble("is no text, so it is no program", "open a job file or a program")
    }
}

/// Text of two bytes a letter: by its mark, or since nearly every second byte of it is 0. The leader of a tape is zeros
/// in a row.
fn is_utf16(head: &[u8]) -> bool {
    const FEWEST: usize = 8;
    if head.starts_with(b"\xff\xfe") || head.starts_with(b"\xfe\xff") {
        return true;
    }
    let pairs = head.chunks_exact(2);
    let all = pairs.len();
    let half = |zero: usize| pairs.clone().filter(|pair| pair[zero] == 0 && pair[1 - zero] != 0).count();
    all >= FEWEST && half(0).max(half(1)) * 10 > all * 9
}

/// Whether it may be a text: nearly no byte of it is a control character beyond those of lines and tapes (NUL, tab, line
/// ends, form feed, device controls, substitute, rubout).
fn is_text(head: &[u8]) -> bool {
    let strange = |byte: &&u8| matches!(**byte, 1..=8 | 11 | 14..=16 | 21..=25 | 27..=31);
    let (strange, high) =
        (head.iter().filter(strange).count(), head.iter().filter(|byte| !byte.is_ascii()).count());
    strange * 50 <= head.len() && (high * 3 <= head.len() || std::str::from_utf8(head).is_ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(name: &str, bytes: &[u8]) -> String {
        stranger(Path::new(name), bytes).map(|trouble| trouble.what).unwrap_or_default()
    }

    #[test]
    fn what_is_no_program_is_said_to_be_what_it_is() {
        let wide = |text: &str, big: bool| -> Vec<u8> {
            text.encode_utf16()
                .flat_map(|unit| if big { unit.to_be_bytes() } else { unit.to_le_bytes() })
                .collect()
        };
        let text = "%\r\nO1001\r\nG20 G90\r\nG1 X1. F10.\r\nM30\r\n%\r\n";
        let noise: Vec<u8> = (0..2000_u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
        let cases: [(&str, Vec<u8>, &str); 10] = [
            ("a.nc", wide(text, false), "UTF-16"),
            ("a.nc", wide(text, true), "UTF-16"),
            ("a.nc", [b"\xff\xfe".to_vec(), wide(text, false)].concat(), "UTF-16"),
            ("a.nc", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".to_vec(), "picture (PNG)"),
            (
                "a.nc",
                b"\x7fELF\x02\x01\x01\0\0\0\0\0\0\0\0\0\x03\0>\0\x01\0\0\0".to_vec(),
                "for this computer",
            ),
            ("a.nc", b"MZ\x90\x00\x03\x00\x00\x00\x04\x00\x00\x00\xff\xff\x00\x00".to_vec(), "EXE"),
            ("a.nc", b"%PDF-1.7\n".to_vec(), "PDF"),
            ("a.dxf", b"0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n".to_vec(), "drawing"),
            ("a.svg", b"<svg xmlns=\"http://www.w3.org/2000/svg\"/>".to_vec(), "drawing"),
            ("a.nc", noise, "no text"),
        ];
        for (name, bytes, what) in cases {
            assert!(told(name, &bytes).contains(what), "{what}: {}", told(name, &bytes));
        }
    }

    #[test]
    fn programs_are_let_through() {
        let programs: [&[u8]; 8] = [
            b"%\nO1001\nG1 X1. F10.\n",
            b"MZ1\nG1 X1.\n",
            b"BM G1 X1\n",
            b"\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0%\nO1\nG1 X1\n",
            b"\x11\x12\x13\x14 %\nO1 (T\x7fAPE)\nG1 X1\n%\x1a",
            "(FRÄSEN, Ø 12, 盤の加工)\nG1 X1\n".as_bytes(),
            b"(GR\xd6SSE \xd8 12)\nG1 X1\n",
            b"X1 Y2\nX3 Y4\n",
        ];
        for bytes in programs {
            assert_eq!(told("a.nc", bytes), "", "{}", String::from_utf8_lossy(bytes));
        }
    }
}
