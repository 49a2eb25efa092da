//! The text of a job file before it is looked into: whether it can be JSON at all.

use super::JobError;
use crate::limits::{JOB_BYTES, JOB_DEPTH};

/// The file as text, without its byte order mark.
pub(in crate::job) fn decode(bytes: &[u8]) -> Result<&str, JobError> {
    let refused = |message: &str| JobError::at_byte("", 0, message);
    if bytes.len() > JOB_BYTES {
        return Err(refused("the file is larger than 16 MiB, the most that is read"));
    }
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return Err(refused("the file is saved as UTF-16; save it as UTF-8"));
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    std::str::from_utf8(bytes).map_err(|error| {
        let good = std::str::from_utf8(&bytes[..error.valid_up_to()]).unwrap_or_default();
        JobError::at_byte(good, good.len(), "the file is not UTF-8 text from here on; save it as UTF-8")
    })
}

/// Whether the text begins as programs do: a percent sign, a comment or a word of a letter and a number.
pub(super) fn looks_like_program(body: &str) -> bool {
    let mut start = body.chars().map(|c| c.to_ascii_uppercase());
    match start.next() {
        Some('%' | '(' | ';' | '/' | ':') => true,
        Some(c) if c.is_ascii_uppercase() => {
            start.find(|c| *c != ' ').is_some_and(|c| c.is_ascii_digit() || matches!(c, '-' | '+' | '.'))
        }
        _ => false,
    }
}

/// Where the text first nests too deep.
pub(super) fn too_deep(text: &str) -> Option<usize> {
    let (mut depth, mut quoted, mut escaped) = (0_usize, false, false);
    for (at, byte) in text.bytes().enumerate() {
        match byte {
            _ if escaped => escaped = false,
            b'\\' if quoted => escaped = true,
            b'"' => quoted = !quoted,
            b'{' | b'[' if !quoted => {
                depth += 1;
                if depth > JOB_DEPTH {
                    return Some(at);
                }
            }
            b'}' | b']' if !quoted => depth = depth.saturating_sub(1),
            _ => {}
        }
    }
    None
}

/// The parser's message without its own place, which counts bytes.
pub(super) fn plain(error: &serde_json::Error) -> String {
    let text = error.to_string();
    text.split(" at line ").next().unwrap_or_default().to_owned()
}

pub(super) fn not_json(text: &str, error: &serde_json::Error) -> JobError {
    if error.is_eof() {
        let message = "the file ends before its last bracket: it may be cut off".to_owned();
        return JobError::at_byte(text, text.trim_end().len(), message);
    }
    let start: usize = text.split_inclusive('\n').take(error.line().saturating_sub(1)).map(str::len).sum();
    let mut byte = (start + error.column().saturating_sub(1)).min(text.len());
    while !text.is_char_boundary(byte) {
        byte -= 1;
    }
    JobError::at_byte(text, byte, format!("this is not JSON: {}", plain(error)))
}
