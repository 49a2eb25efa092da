//! Pictures as rows of pixels, and the PNG files of them.

/// Pixels row by row from the top, straight opacity.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pixels {
    /// Pixels in a row.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Red, green, blue and opacity of each pixel.
    pub rgba: Vec<u8>,
}

impl Pixels {
    /// The colour of a pixel; `None` outside.
    pub fn at(&self, x: usize, y: usize) -> Option<[u8; 4]> {
        if x >= self.width {
            return None;
        }
        let index = (y * self.width + x) * 4;
        self.rgba.get(index..index + 4).and_then(|rgba| rgba.try_into().ok())
    }
}

/// Writes pixels as a PNG file.
///
/// # Errors
/// When the pixels do not fill their width and height.
pub fn png(pixels: &Pixels) -> Result<Vec<u8>, String> {
    let side = |length: usize| u32::try_from(length).map_err(|_| format!("{length} pixels are too many"));
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, side(pixels.width)?, side(pixels.height)?);
    encoder.set_color(png::ColorType::Rgba);
    encoder.set_depth(png::BitDepth::Eight);
    let fault = |error: png::EncodingError| format!("the picture cannot be written as PNG: {error}");
    let mut writer = encoder.write_header().map_err(fault)?;
    writer.write_image_data(&pixels.rgba).map_err(fault)?;
    writer.finish().map_err(fault)?;
    Ok(bytes)
}
