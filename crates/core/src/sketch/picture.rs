//! Photographs and scans, read small enough to be drawn under a sheet.

use std::io::Cursor;

use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

use crate::pixels::Pixels;

/// Largest picture file that is read, in bytes.
pub const MOST_PICTURE_BYTES: u64 = 64 << 20;
/// Most pixels of a picture that is read; a camera gives 12 to 50 million.
pub const MOST_PIXELS: usize = 64_000_000;
/// Longest side of the picture that is kept, in pixels: what every screen's hardware can hold.
pub const MOST_SIDE: usize = 2048;

/// Rows of pixels as they were decoded.
struct Raw {
    width: usize,
    height: usize,
    channels: usize,
    bytes: Vec<u8>,
}

/// Reads a PNG or JPEG picture; a large one is reduced by a whole factor until no side is longer than
/// [`MOST_SIDE`].
///
/// # Errors
/// Why it cannot be used, in plain words.
pub fn picture(bytes: &[u8]) -> Result<Pixels, String> {
    const PNG: &[u8] = b"\x89PNG\r\n\x1a\n";
    if bytes.len() as u64 > MOST_PICTURE_BYTES {
        return Err(format!("the file is larger than {} MB", MOST_PICTURE_BYTES >> 20));
    }
    let raw = if bytes.starts_with(PNG) {
        read_png(bytes)
    } else if bytes.starts_with(b"\xff\xd8") {
        read_jpeg(bytes)
    } else {
        Err("it is neither a PNG nor a JPEG picture: save it as one of these".to_owned())
    }?;
    reduced(&raw).ok_or_else(|| "the picture ends too early".to_owned())
}

/// Whether a picture of this size is taken.
fn fits(width: usize, height: usize) -> Result<(), String> {
    match width.checked_mul(height) {
        Some(0) => Err("the picture is empty".to_owned()),
        Some(count) if count <= MOST_PIXELS => Ok(()),
        _ => Err(format!(
            "the picture has {width} x {height} pixels; at most {} million are read: reduce it first",
            MOST_PIXELS / 1_000_000
        )),
    }
}

fn read_png(bytes: &[u8]) -> Result<Raw, String> {
    let broken = |error: png::DecodingError| format!("the picture is damaged ({error})");
    let mut decoder = png::Decoder::new(Cursor::new(bytes));
    decoder.set_transformations(png::Transformations::normalize_to_color8());
    let header = decoder.read_header_info().map_err(broken)?;
    let (width, height) = (header.width as usize, header.height as usize);
    fits(width, height)?;
    let mut reader = decoder.read_info().map_err(broken)?;
    let size = reader.output_buffer_size().ok_or("the picture is too large")?;
    let mut bytes = vec![0; size];
    reader.next_frame(&mut bytes).map_err(broken)?;
    let channels = reader.output_color_type().0.samples();
    Ok(Raw { width, height, channels, bytes })
}

fn read_jpeg(bytes: &[u8]) -> Result<Raw, String> {
    let broken = |error| format!("the picture is damaged ({error})");
    let options = DecoderOptions::default()
        .jpeg_set_out_colorspace(ColorSpace::RGB)
        .set_max_width(usize::from(u16::MAX))
        .set_max_height(usize::from(u16::MAX));
    let mut decoder = JpegDecoder::new_with_options(Cursor::new(bytes), options);
    decoder.decode_headers().map_err(broken)?;
    let about = decoder.info().ok_or("the picture does not say its size")?;
    let (width, height) = (usize::from(about.width), usize::from(about.height));
    fits(width, height)?;
    let bytes = decoder.decode().map_err(broken)?;
    let channels = decoder.output_colorspace().map_or(3, |colours| colours.num_components());
    Ok(Raw { width, height, channels, bytes })
}

/// Each square of `step` by `step` pixels becomes their mean.
fn reduced(raw: &Raw) -> Option<Pixels> {
    let step = raw.width.max(raw.height).div_ceil(MOST_SIDE).max(1);
    let (width, height) = (raw.width.div_ceil(step), raw.height.div_ceil(step));
    let mut rgba = Vec::with_capacity(width * height * 4);
    for y in 0..height {
        for x in 0..width {
            rgba.extend(mean(raw, x * step, y * step, step)?);
        }
    }
    Some(Pixels { width, height, rgba })
}

fn mean(raw: &Raw, left: usize, top: usize, step: usize) -> Option<[u8; 4]> {
    let mut sums = [0_u32; 4];
    let mut count = 0;
    for y in top..(top + step).min(raw.height) {
        for x in left..(left + step).min(raw.width) {
            let start = (y * raw.width + x) * raw.channels;
            let ink = rgba(raw.bytes.get(start..start + raw.channels)?)?;
            for (sum, part) in sums.iter_mut().zip(ink) {
                *sum += u32::from(part);
            }
            count += 1;
        }
    }
    Some(sums.map(|sum| (sum / count.max(1)) as u8))
}

/// Grey, grey with opacity, colour, or colour with opacity.
fn rgba(samples: &[u8]) -> Option<[u8; 4]> {
    match *samples {
        [grey] => Some([grey, grey, grey, 255]),
        [grey, opacity] => Some([grey, grey, grey, opacity]),
        [red, green, blue] => Some([red, green, blue, 255]),
        [red, green, blue, opacity] => Some([red, green, blue, opacity]),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pixels::png;

    /// Left half black, right half white.
    fn halves(width: usize, height: usize) -> Pixels {
        let ink = |x: usize| if x < width / 2 { [0, 0, 0, 255] } else { [255; 4] };
        let rgba = (0..height).flat_map(|_| (0..width).flat_map(ink)).collect();
        Pixels { width, height, rgba }
    }

    #[test]
    fn a_small_picture_comes_as_it_is() {
        let drawn = halves(6, 4);
        assert_eq!(picture(&png(&drawn).expect("written")).expect("read"), drawn);
    }

    #[test]
    fn a_large_picture_is_reduced() {
        let read = picture(&png(&halves(5000, 10)).expect("written")).expect("read");
        assert_eq!((read.width, read.height), (1667, 4));
        assert_eq!(read.at(0, 0), Some([0, 0, 0, 255]));
        assert_eq!(read.at(1666, 3), Some([255; 4]));
    }

    /// The smallest baseline JPEG: one block of grey, by ITU T.81 annexes B and F, with one-code tables.
    fn grey_jpeg() -> Vec<u8> {
        let mut bytes = vec![0xff, 0xd8, 0xff, 0xdb, 0, 67, 0];
        bytes.extend([1; 64]);
        bytes.extend([0xff, 0xc0, 0, 11, 8, 0, 8, 0, 8, 1, 1, 0x11, 0]);
        for class in [0x00, 0x10] {
            // One code of one bit for the value 0: no difference, end of block.
            bytes.extend([0xff, 0xc4, 0, 20, class, 1]);
            bytes.extend([0; 15]);
            bytes.push(0);
        }
        bytes.extend([0xff, 0xda, 0, 8, 1, 1, 0, 0, 63, 0]);
        bytes.extend([0b0011_1111, 0xff, 0xd9]);
        bytes
    }

    #[test]
    fn a_jpeg_is_read() {
        let read = picture(&grey_jpeg()).expect("read");
        assert_eq!((read.width, read.height), (8, 8));
        assert!(read.rgba.chunks(4).all(|ink| ink == [128, 128, 128, 255]), "{:?}", read.at(0, 0));
    }

    #[test]
    fn what_is_no_picture_says_so() {
        let whole = png(&halves(64, 64)).expect("written");
        let mut huge = whole.clone();
        // Width and height of the header, with its checksum left as it was.
        huge.splice(16..24, [0, 1, 0, 0, 0, 1, 0, 0]);
        for (bytes, said) in [
            (b"GIF89a".as_slice(), "neither a PNG nor a JPEG"),
            (b"", "neither"),
            (&whole[..whole.len() / 2], "damaged"),
            (&grey_jpeg()[..40], "damaged"),
        ] {
            let message = picture(bytes).expect_err(said);
            assert!(message.contains(said), "{message}");
        }
        assert!(picture(&huge).is_err());
        assert!(fits(65_000, 65_000).expect_err("too large").contains("at most 64 million"));
    }
}
