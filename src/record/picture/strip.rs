//! The containers of the three formats, rewritten without what is not the picture. The coded pixels stay byte for byte.
//!
//! A file that ends before its picture does gives none; what stands behind the end of the picture is left off, for phones
//! append second pictures and films there, with their own notes of where they were taken.

/// JPEG (ITU-T T.81, annex B): of the application segments JFIF, the colour profile and the colour transform stay, and of
/// Exif which way up it is.
pub fn jpeg(sent: &[u8], orientation: u8) -> Option<Vec<u8>> {
    const SOI: u8 = 0xd8;
    const EOI: u8 = 0xd9;
    const SOS: u8 = 0xda;
    let mut out = vec![0xff, SOI];
    if (2..=8).contains(&orientation) {
        out.extend(turned(orientation));
    }
    let mut at = sent.starts_with(&out[..2]).then_some(2)?;
    let mut scans = 0;
    loop {
        // Any number of fill bytes may stand before a marker.
        while sent.get(at..at + 2)? == [0xff, 0xff] {
            at += 1;
        }
        let [0xff, marker] = *sent.get(at..at + 2)? else { return None };
        match marker {
            EOI if scans > 0 => {
                out.extend([0xff, EOI]);
                return Some(out);
            }
            0x01 | 0xd0..=0xd7 => {
                out.extend([0xff, marker]);
                at += 2;
                continue;
            }
            0x00 | SOI | EOI => return None,
            _ => {}
        }
        let length = usize::from(u16::from_be_bytes([*sent.get(at + 2)?, *sent.get(at + 3)?]));
        let segment = sent.get(at..at + 2 + length).filter(|_| length >= 2)?;
        at += segment.len();
        if kept(marker, &segment[4..]) {
            out.extend(segment);
        }
        if marker == SOS {
            scans += 1;
            let data = entropy(&sent[at..])?;
            out.extend(&sent[at..at + data]);
            at += data;
        }
    }
}

/// Whether a segment belongs to the picture.
fn kept(marker: u8, contents: &[u8]) -> bool {
    match marker {
        0xe0 => contents.starts_with(b"JFIF\0"),
        0xe2 => contents.starts_with(b"ICC_PROFILE\0"),
        0xee => contents.starts_with(b"Adobe"),
        // The other application segments, and comments.
        0xe1..=0xef | 0xfe => false,
        _ => true,
    }
}

/// How many bytes of coded pixels stand before the next marker.
fn entropy(data: &[u8]) -> Option<usize> {
    data.windows(2).position(|two| two[0] == 0xff && !matches!(two[1], 0x00 | 0xd0..=0xd7 | 0xff))
}

/// An Exif segment that says only which way up the picture is.
fn turned(orientation: u8) -> Vec<u8> {
    let mut segment = vec![0xff, 0xe1, 0, 34];
    segment.extend(b"Exif\0\0MM\0\x2a\0\0\0\x08");
    // One entry: tag 0x0112, one short; then no further directory.
    segment.extend([0, 1, 0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, orientation, 0, 0, 0, 0, 0, 0]);
    segment
}

/// PNG (ISO/IEC 15948): the chunks that the picture and its colours need.
pub fn png(sent: &[u8]) -> Option<Vec<u8>> {
    const KEPT: [&[u8; 4]; 12] =
        [b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"sBIT", b"bKGD", b"pHYs"];
    let (signature, mut rest) = sent.split_at_checked(8)?;
    let mut out = signature.to_vec();
    let mut pixels = false;
    loop {
        let length = u32::from_be_bytes(*rest.first_chunk()?);
        let whole = usize::try_from(length).ok()?.checked_add(12)?;
        let (chunk, after) = rest.split_at_checked(whole)?;
        let kind: &[u8; 4] = chunk[4..].first_chunk()?;
        if KEPT.contains(&kind) {
            out.extend(chunk);
        }
        pixels |= kind == b"IDAT";
        if kind == b"IEND" {
            return pixels.then_some(out);
        }
        rest = after;
    }
}

/// WebP (RFC 9649): the still picture, its transparency and its colour profile. One that moves gives none.
pub fn webp(sent: &[u8]) -> Option<Vec<u8>> {
    const EXIF_AND_XMP: u8 = 0b0000_1100;
    let size = u32::from_le_bytes(*sent.get(4..8)?.first_chunk()?);
    let mut rest = sent.get(12..usize::try_from(size).ok()?.checked_add(8)?)?;
    let mut out = sent.get(..12)?.to_vec();
    let mut pixels = false;
    while !rest.is_empty() {
        let length = usize::try_from(u32::from_le_bytes(*rest.get(4..8)?.first_chunk()?)).ok()?;
        // A chunk of odd length is filled up to an even one.
        let (chunk, after) = rest.split_at_checked(length.checked_add(8 + length % 2)?)?;
        match &chunk[..4] {
            b"ANIM" | b"ANMF" => return None,
            b"VP8X" => {
                let from = out.len();
                out.extend(chunk);
                *out.get_mut(from + 8)? &= !EXIF_AND_XMP;
            }
            b"VP8 " | b"VP8L" => {
                pixels = true;
                out.extend(chunk);
            }
            b"ALPH" | b"ICCP" => out.extend(chunk),
            _ => {}
        }
        rest = after;
    }
    let size = u32::try_from(out.len() - 8).ok()?;
    out[4..8].copy_from_slice(&size.to_le_bytes());
    pixels.then_some(out)
}
