//! A screenshot with few colours instead of all of them: of text that is a quarter of the size and looks the same.

use std::collections::BTreeMap;
use std::io::Cursor;

use png::{BitDepth, ColorType, Compression, Decoder, Encoder, Filter};

type Colour = [u8; 3];

/// A colour index takes four bits.
const COLOURS: usize = 16;

/// The same picture in its sixteen commonest colours.
pub fn few_colours(picture: &[u8]) -> Vec<u8> {
    let mut reader = Decoder::new(Cursor::new(picture)).read_info().unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    let frame = reader.next_frame(&mut pixels).unwrap();
    assert_eq!(frame.bit_depth, BitDepth::Eight);
    let wide = frame.color_type.samples();
    let colours: Vec<Colour> =
        pixels[..frame.buffer_size()].chunks(wide).map(|pixel| [pixel[0], pixel[1], pixel[2]]).collect();
    let palette = palette(&colours);
    let mut nearest: BTreeMap<Colour, u8> = BTreeMap::new();
    let mut packed = Vec::new();
    for row in colours.chunks(usize::try_from(frame.width).unwrap()) {
        let mut index = |colour: &Colour| {
            *nearest.entry(*colour).or_insert_with(|| u8::try_from(closest(&palette, *colour)).unwrap())
        };
        packed.extend(row.chunks(2).map(|two| (index(&two[0]) << 4) | two.get(1).map_or(0, &mut index)));
    }
    let mut out = Vec::new();
    let mut encoder = Encoder::new(&mut out, frame.width, frame.height);
    encoder.set_color(ColorType::Indexed);
    encoder.set_depth(BitDepth::Four);
    encoder.set_palette(palette.concat());
    encoder.set_compression(Compression::High);
    encoder.set_filter(Filter::NoFilter);
    encoder.write_header().unwrap().write_image_data(&packed).unwrap();
    out
}

/// The commonest colours that are not almost the same as one before.
fn palette(colours: &[Colour]) -> Vec<Colour> {
    let mut counts: BTreeMap<Colour, usize> = BTreeMap::new();
    for colour in colours {
        *counts.entry(*colour).or_default() += 1;
    }
    let mut all: Vec<(Colour, usize)> = counts.into_iter().collect();
    all.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
    let mut palette: Vec<Colour> = Vec::new();
    for (colour, _) in all {
        if palette.len() < COLOURS && palette.iter().all(|other| apart(*other, colour) > 900) {
            palette.push(colour);
        }
    }
    palette
}

fn closest(palette: &[Colour], colour: Colour) -> usize {
    (0..palette.len()).min_by_key(|at| apart(palette[*at], colour)).unwrap()
}

fn apart(one: Colour, other: Colour) -> u32 {
    one.iter().zip(other).map(|(a, b)| u32::from(a.abs_diff(b)).pow(2)).sum()
}
