//! Pairs of group code and value, from text and from the binary form.
//!
//! Both forms are described in the published DXF reference ("ASCII DXF files", "Binary DXF files", "Group code
//! value types").

use std::borrow::Cow;

use crate::bring_in::{Fault, Spot};

/// First bytes of the binary form.
pub(super) const BINARY: &[u8] = b"\x41\x75\x74\x6f\x43\x41\x44 Binary DXF\r\n\x1a\0";

#[derive(Debug, Clone, PartialEq)]
enum Value<'a> {
    Text(&'a [u8]),
    Real(f64),
    Whole(i64),
}

/// One group code with its value.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Group<'a> {
    pub(super) code: i32,
    value: Value<'a>,
    pub(super) spot: Spot,
}

impl Group<'_> {
    /// The value as words; what is not UTF-8 is taken byte for byte, so that names still compare.
    pub(super) fn text(&self) -> Cow<'_, str> {
        match &self.value {
            Value::Text(bytes) => match std::str::from_utf8(bytes) {
                Ok(text) => Cow::Borrowed(text.trim()),
                Err(_) => Cow::Owned(bytes.iter().map(|byte| char::from(*byte)).collect::<String>()),
            },
            Value::Real(value) => Cow::Owned(value.to_string()),
            Value::Whole(value) => Cow::Owned(value.to_string()),
        }
    }

    pub(super) fn is(&self, code: i32, text: &str) -> bool {
        self.code == code && self.text() == text
    }

    pub(super) fn real(&self) -> Result<f64, Fault> {
        let value = match &self.value {
            Value::Real(value) => Some(*value),
            Value::Whole(value) => Some(*value as f64),
            Value::Text(_) => self.text().parse().ok(),
        };
        value.filter(|value: &f64| value.is_finite()).ok_or_else(|| self.wrong("a number"))
    }

    pub(super) fn whole(&self) -> Result<i64, Fault> {
        let value = match &self.value {
            Value::Whole(value) => Some(*value),
            Value::Real(_) => None,
            Value::Text(_) => self.text().parse().ok(),
        };
        value.ok_or_else(|| self.wrong("a whole number"))
    }

    fn wrong(&self, needed: &str) -> Fault {
        let shown: String = self.text().chars().take(24).collect();
        Fault::at(self.spot, format!("group {} must be {needed}, not `{shown}`", self.code))
    }
}

/// Reads groups one after the other.
pub(super) struct Groups<'a> {
    bytes: &'a [u8],
    at: usize,
    line: usize,
    form: Form,
}

#[derive(Clone, Copy, PartialEq)]
enum Form {
    Text,
    /// Codes of two bytes, or, up to release 12, of one.
    Binary {
        wide: bool,
    },
}

impl<'a> Groups<'a> {
    pub(super) fn new(bytes: &'a [u8]) -> Self {
        if !bytes.starts_with(BINARY) {
            let at = if bytes.starts_with(b"\xef\xbb\xbf") { 3 } else { 0 };
            return Self { bytes, at, line: 1, form: Form::Text };
        }
        // The first pair is 0 SECTION: with a code of one byte its first letter comes second.
        let wide = bytes.get(BINARY.len() + 1) != Some(&b'S');
        Self { bytes, at: BINARY.len(), line: 1, form: Form::Binary { wide } }
    }

    /// The next group; `None` at the end of the bytes.
    pub(super) fn next(&mut self) -> Result<Option<Group<'a>>, Fault> {
        match self.form {
            Form::Text => self.next_text(),
            Form::Binary { wide } => self.next_binary(wide),
        }
    }

    /// Where the next group starts.
    pub(super) fn spot(&self) -> Spot {
        match self.form {
            Form::Text => Spot::Line(self.line),
            Form::Binary { .. } => Spot::Byte(self.at),
        }
    }

    fn next_text(&mut self) -> Result<Option<Group<'a>>, Fault> {
        let spot = self.spot();
        let Some(first) = self.text_line() else { return Ok(None) };
        let code = std::str::from_utf8(first).ok().and_then(|text| text.trim().parse().ok());
        let Some(code) = code else {
            if first.trim_ascii().is_empty() && self.bytes[self.at..].trim_ascii().is_empty() {
                return Ok(None);
            }
            return Err(Fault::at(spot, "a group code must be here: this is not DXF, or a line is missing"));
        };
        let spot = self.spot();
        let Some(value) = self.text_line() else {
            return Err(Fault::at(spot, format!("the file ends before the value of group {code}")));
        };
        Ok(Some(Group { code, value: Value::Text(value), spot }))
    }

    fn text_line(&mut self) -> Option<&'a [u8]> {
        let rest = self.bytes.get(self.at..).filter(|rest| !rest.is_empty())?;
        let length = rest.iter().position(|byte| matches!(byte, b'\n' | b'\r')).unwrap_or(rest.len());
        let ending = if rest[length..].starts_with(b"\r\n") { 2 } else { 1 };
        self.at += (length + ending).min(rest.len());
        self.line += 1;
        Some(&rest[..length])
    }

    fn next_binary(&mut self, wide: bool) -> Result<Option<Group<'a>>, Fault> {
        let spot = self.spot();
        if self.at >= self.bytes.len() {
            return Ok(None);
        }
        let code = if wide {
            i32::from(i16::from_le_bytes(self.take()?))
        } else {
            match u8::from_le_bytes(self.take()?) {
                255 => i32::from(i16::from_le_bytes(self.take()?)),
                code => i32::from(code),
            }
        };
        let value = match code {
            10..=59 | 110..=149 | 210..=239 | 460..=469 | 1010..=1059 => {
                Value::Real(f64::from_le_bytes(self.take()?))
            }
            60..=79 | 170..=179 | 270..=289 | 370..=389 | 400..=409 | 1060..=1070 => {
                Value::Whole(i64::from(i16::from_le_bytes(self.take()?)))
            }
            90..=99 | 420..=429 | 440..=459 | 1071 => {
                Value::Whole(i64::from(i32::from_le_bytes(self.take()?)))
            }
            160..=169 => Value::Whole(i64::from_le_bytes(self.take()?)),
            290..=299 => Value::Whole(i64::from(u8::from_le_bytes(self.take()?))),
            310..=319 | 1004 => {
                let length = usize::from(u8::from_le_bytes(self.take()?));
                Value::Text(self.slice(length)?)
            }
            0..=9
            | 100..=109
            | 300..=309
            | 320..=369
            | 390..=399
            | 410..=419
            | 430..=439
            | 470..=489
            | 999..=1009 => self.ended()?,
            _ => {
                return Err(Fault::at(spot, format!("{code} is not a group code: the file is damaged here")));
            }
        };
        Ok(Some(Group { code, value, spot }))
    }

    /// A string up to its closing zero.
    fn ended(&mut self) -> Result<Value<'a>, Fault> {
        let rest = &self.bytes[self.at..];
        let Some(length) = rest.iter().position(|byte| *byte == 0) else { return Err(self.cut_off()) };
        self.at += length + 1;
        Ok(Value::Text(&rest[..length]))
    }

    fn slice(&mut self, length: usize) -> Result<&'a [u8], Fault> {
        let found = self.bytes.get(self.at..).and_then(|rest| rest.get(..length));
        let Some(found) = found else { return Err(self.cut_off()) };
        self.at += length;
        Ok(found)
    }

    fn take<const N: usize>(&mut self) -> Result<[u8; N], Fault> {
        let mut taken = [0; N];
        taken.copy_from_slice(self.slice(N)?);
        Ok(taken)
    }

    fn cut_off(&self) -> Fault {
        Fault::at(self.spot(), "the file ends in the middle of a value")
    }
}
