//! Photographs for tests, made as a phone would make them: the same colours give the same bytes.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, ImageFormat, Rgb, RgbImage};

/// A slope of colour with a dark bar on its left half's top, so that a turn would show.
fn scene(width: u32, height: u32, tint: u8) -> DynamicImage {
    DynamicImage::ImageRgb8(RgbImage::from_fn(width, height, |x, y| {
        let bar = x < width / 2 && y < height / 8;
        let part = |at: u32, of: u32| (at * 255 / of.max(1)) as u8;
        if bar { Rgb([20, 20, 20]) } else { Rgb([part(x, width), part(y, height), tint]) }
    }))
}

pub fn jpeg(width: u32, height: u32, tint: u8) -> Vec<u8> {
    let mut out = Vec::new();
    JpegEncoder::new_with_quality(&mut out, 85).encode_image(&scene(width, height, tint)).unwrap();
    out
}

pub fn png(width: u32, height: u32, tint: u8) -> Vec<u8> {
    coded(width, height, tint, ImageFormat::Png)
}

pub fn webp(width: u32, height: u32, tint: u8) -> Vec<u8> {
    coded(width, height, tint, ImageFormat::WebP)
}

fn coded(width: u32, height: u32, tint: u8, format: ImageFormat) -> Vec<u8> {
    let mut out = Cursor::new(Vec::new());
    scene(width, height, tint).write_to(&mut out, format).unwrap();
    out.into_inner()
}

/// What no photograph may keep: it stands for where and with what it was taken.
pub const SECRET: &[u8] = b"57.1N 2.1W camera 4711";

/// A JPEG as a phone writes it: Exif with a turn and a place, a comment, and a second picture behind the first.
pub fn from_a_phone(width: u32, height: u32, orientation: u8) -> Vec<u8> {
    let whole = jpeg(width, height, 90);
    let segment = |marker: u8, contents: &[u8]| {
        let length = (contents.len() as u16 + 2).to_be_bytes();
        [&[0xff, marker], &length[..], contents].concat()
    };
    let mut exif = b"Exif\0\0II\x2a\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0".to_vec();
    exif.extend([orientation, 0, 0, 0, 0, 0, 0, 0]);
    exif.extend(SECRET);
    let mut out = whole[..2].to_vec();
    out.extend(segment(0xe1, &exif));
    out.extend(segment(0xe2, &[b"MPF\0", SECRET].concat()));
    out.extend(segment(0xfe, SECRET));
    out.extend(&whole[2..]);
    out.extend(jpeg(16, 16, 3));
    out.extend(SECRET);
    out
}

/// The PNG with a text and a place in it.
pub fn png_with_secret(width: u32, height: u32) -> Vec<u8> {
    let whole = png(width, height, 40);
    // Behind the signature and the first chunk.
    let at = 8 + 25;
    let chunk = |kind: &[u8; 4]| {
        let mut out = (SECRET.len() as u32).to_be_bytes().to_vec();
        out.extend(kind);
        out.extend(SECRET);
        let sum = out[4..].iter().fold(0xffff_ffff_u32, |sum, byte| {
            (0..8).fold(sum ^ u32::from(*byte), |c, _| if c & 1 == 1 { 0xedb8_8320 ^ (c >> 1) } else { c >> 1 })
        });
        out.extend((!sum).to_be_bytes());
        out
    };
    [&whole[..at], &chunk(b"tEXt"), &chunk(b"eXIf"), &whole[at..], SECRET].concat()
}

/// The WebP in its extended form, with a place in it.
pub fn webp_with_secret(width: u32, height: u32) -> Vec<u8> {
    let plain = webp(width, height, 40);
    let chunk = |kind: &[u8; 4], contents: &[u8]| {
        let mut out = kind.to_vec();
        out.extend((contents.len() as u32).to_le_bytes());
        out.extend(contents);
        out.resize(out.len() + contents.len() % 2, 0);
        out
    };
    let side = |side: u32| (side - 1).to_le_bytes();
    let (w, h) = (side(width), side(height));
    let extended = chunk(b"VP8X", &[0b1100, 0, 0, 0, w[0], w[1], w[2], h[0], h[1], h[2]]);
    let body = [b"WEBP", &extended[..], &plain[12..], &chunk(b"EXIF", SECRET), &chunk(b"XMP ", SECRET)].concat();
    [b"RIFF", &(body.len() as u32).to_le_bytes()[..], &body].concat()
}

/// Whether those bytes stand anywhere in these.
pub fn holds(bytes: &[u8], wanted: &[u8]) -> bool {
    bytes.windows(wanted.len()).any(|window| window == wanted)
}
