//! A photograph made small for a document: the right way up, a JPEG of its own.

use std::io::Cursor;
use std::sync::{Mutex, PoisonError};

use image::codecs::jpeg::JpegEncoder;
use image::imageops::FilterType;
use image::{DynamicImage, ImageDecoder, ImageReader, Limits, Rgba, RgbaImage, imageops};

use super::DrawingError;

/// Memory for one that is taken apart, in bytes; a photograph is drawn small one at a time.
const MOST_MEMORY: u64 = 256 * 1024 * 1024;
static ONE_AT_A_TIME: Mutex<()> = Mutex::new(());

const QUALITY: u8 = 80;

/// A photograph that is no larger than its place needs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Small {
    pub jpeg: Vec<u8>,
    pub width: u32,
    pub height: u32,
}

/// The photograph with its longer side of at most so many pixels. Bytes that cannot be taken apart are an error.
pub fn small(bytes: &[u8], longest: u32) -> Result<Small, DrawingError> {
    let failed = |error: image::ImageError| DrawingError::Drawing(format!("a photograph: {error}"));
    let _turn = ONE_AT_A_TIME.lock().unwrap_or_else(PoisonError::into_inner);
    let mut reader = ImageReader::new(Cursor::new(bytes))
        .with_guessed_format()
        .map_err(|error| DrawingError::Drawing(format!("a photograph: {error}")))?;
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_MEMORY);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(failed)?;
    let turned = decoder.orientation().map_err(failed)?;
    let mut whole = DynamicImage::from_decoder(decoder).map_err(failed)?;
    if whole.width().max(whole.height()) > longest {
        whole = whole.resize(longest, longest, FilterType::Triangle);
    }
    whole.apply_orientation(turned);
    // What is clear in it stands on white paper.
    let mut paper = RgbaImage::from_pixel(whole.width(), whole.height(), Rgba([255; 4]));
    imageops::overlay(&mut paper, &whole.to_rgba8(), 0, 0);
    let rgb = DynamicImage::ImageRgba8(paper).to_rgb8();
    let mut jpeg = Vec::new();
    JpegEncoder::new_with_quality(&mut jpeg, QUALITY)
        .encode_image(&rgb)
        .map_err(|error| DrawingError::Encoding(error.to_string()))?;
    Ok(Small { jpeg, width: rgb.width(), height: rgb.height() })
}
