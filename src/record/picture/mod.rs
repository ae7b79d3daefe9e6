//! A photograph as it may be kept: known for a JPEG, PNG or WebP by its own bytes, whole, within the limits, and without
//! what a camera writes beside the picture.
//!
//! Its name and the type it was sent as count for nothing. It is taken apart no further than to its header: a decoder gets
//! to see it only where it is drawn small.

mod strip;

use std::io::Cursor;

use image::metadata::Orientation;
use image::{ImageDecoder, ImageFormat, ImageReader, Limits};
use serde::{Deserialize, Serialize};

use super::{Hash, RecordError};

/// The largest that is kept, in bytes.
pub const MOST_BYTES: usize = 5 * 1024 * 1024;

/// The most pixels: whoever draws it needs four bytes for each.
const MOST_PIXELS: u64 = 50_000_000;

/// What a header may cost to read.
const HEADER_ALLOC: u64 = 16 * 1024 * 1024;

/// What a photograph is, as its bytes say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Media {
    #[serde(rename = "image/jpeg")]
    Jpeg,
    #[serde(rename = "image/png")]
    Png,
    #[serde(rename = "image/webp")]
    Webp,
}

impl Media {
    /// The media type, as it is kept and served.
    pub fn word(self) -> &'static str {
        match self {
            Self::Jpeg => "image/jpeg",
            Self::Png => "image/png",
            Self::Webp => "image/webp",
        }
    }

    /// How a file of it ends.
    pub fn ending(self) -> &'static str {
        match self {
            Self::Jpeg => "jpg",
            Self::Png => "png",
            Self::Webp => "webp",
        }
    }
}

/// A photograph that may be kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    bytes: Vec<u8>,
    media: Media,
    width: u32,
    height: u32,
    hash: Hash,
}

impl Picture {
    /// Reads what someone sent. Nothing of it is kept but the picture, its colours, and which way up it is: not where it
    /// was taken, with what, or when. The same bytes always give the same picture. Errors: `Unfit`, saying why.
    pub fn read(sent: &[u8]) -> Result<Self, RecordError> {
        if sent.len() > MOST_BYTES {
            return Err(unfit("is larger than is kept (5 MB): make it smaller"));
        }
        let media = match image::guess_format(sent) {
            Ok(ImageFormat::Jpeg) => Media::Jpeg,
            Ok(ImageFormat::Png) => Media::Png,
            Ok(ImageFormat::WebP) => Media::Webp,
            _ => return Err(unfit("is no JPEG, PNG or WebP picture")),
        };
        let orientation = if media == Media::Jpeg { orientation(sent) } else { 1 };
        let bytes = match media {
            Media::Jpeg => strip::jpeg(sent, orientation),
            Media::Png => strip::png(sent),
            Media::Webp => strip::webp(sent),
        };
        let bytes = bytes.ok_or(unfit("is damaged or cut short, or moves: take it again"))?;
        let (width, height) = size(&bytes).ok_or(unfit("has a header that cannot be read: take it again"))?;
        if width == 0 || height == 0 || u64::from(width) * u64::from(height) > MOST_PIXELS {
            return Err(unfit("has more pixels than are kept (50 million): make it smaller"));
        }
        // From 5 on it lies on its side.
        let (width, height) = if orientation < 5 { (width, height) } else { (height, width) };
        let hash = blake3::hash(&bytes);
        Ok(Self { bytes, media, width, height, hash })
    }

    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    pub fn media(&self) -> Media {
        self.media
    }

    /// Width and height as it is seen.
    pub fn size(&self) -> (u32, u32) {
        (self.width, self.height)
    }

    /// What it is kept under.
    pub fn hash(&self) -> Hash {
        self.hash
    }
}

fn unfit(rule: &'static str) -> RecordError {
    RecordError::Unfit { field: "photograph", rule }
}

fn decoder(bytes: &[u8]) -> Option<impl ImageDecoder + '_> {
    let mut reader = ImageReader::new(Cursor::new(bytes)).with_guessed_format().ok()?;
    let mut limits = Limits::default();
    limits.max_alloc = Some(HEADER_ALLOC);
    reader.limits(limits);
    reader.into_decoder().ok()
}

fn size(bytes: &[u8]) -> Option<(u32, u32)> {
    decoder(bytes).map(|decoder| decoder.dimensions())
}

/// Which way up the camera says that it is, from 1 to 8 (Exif tag 0x0112).
fn orientation(bytes: &[u8]) -> u8 {
    let said = decoder(bytes).and_then(|mut decoder| decoder.orientation().ok());
    said.map_or(1, Orientation::to_exif)
}
