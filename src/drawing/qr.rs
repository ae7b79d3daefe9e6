//! A QR code (ISO/IEC 18004), drawn dark on white with the quiet zone that scanners need.

use qrcode::render::unicode::Dense1x2;
use qrcode::{Color, EcLevel, QrCode};

use super::canvas::escaped;
use super::picture::{DrawingError, Figure};

/// User units to the module, and the modules left white around the code.
const MODULE: usize = 4;
const QUIET: usize = 4;

/// The code for `text` in characters, for a terminal: dark on white whatever its colours.
pub fn typed(text: &str) -> Result<String, DrawingError> {
    let code = QrCode::with_error_correction_level(text, EcLevel::M)
        .map_err(|fault| DrawingError::Drawing(fault.to_string()))?;
    let drawn = code.render::<Dense1x2>().quiet_zone(true).build();
    Ok(drawn.lines().map(|line| format!("\x1b[30;107m{line}\x1b[0m\n")).collect())
}

/// The code for `text`; oil may take a quarter of it before it cannot be read. Errors when the text fits no code.
pub fn draw(text: &str, title: &str) -> Result<Figure, DrawingError> {
    let code = QrCode::with_error_correction_level(text, EcLevel::Q)
        .map_err(|fault| DrawingError::Drawing(fault.to_string()))?;
    let across = code.width();
    let side = (across + 2 * QUIET) * MODULE;
    let mut path = String::new();
    for (row, modules) in code.to_colors().chunks(across).enumerate() {
        let y = (row + QUIET) * MODULE;
        let mut column = 0;
        while let Some(module) = modules.get(column) {
            // Dark neighbours in one stroke: no hairline shows between them in print.
            let run = modules[column..].iter().take_while(|next| *next == module).count();
            if *module == Color::Dark {
                let (x, wide) = ((column + QUIET) * MODULE, run * MODULE);
                path += &format!("M{x} {y}h{wide}v{MODULE}h-{wide}z");
            }
            column += run;
        }
    }
    let alt = format!("QR code that says: {text}");
    let svg = format!(
        concat!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {side} {side}" width="{side}" height="{side}" role="img">"#,
            "<title>{title}</title><desc>{alt}</desc>",
            r##"<rect width="{side}" height="{side}" fill="#ffffff"/><path d="{path}" fill="#000000"/></svg>"##
        ),
        side = side,
        title = escaped(title),
        alt = escaped(&alt),
        path = path,
    );
    Ok(Figure { title: title.to_owned(), alt, svg, width: side as u32, height: side as u32 })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// Pixels to a module, for the reader's sake.
    const SCALE: usize = 4;

    #[test]
    fn what_is_typed_reads_back() {
        let address = "https://gudgeon.local:8470/door#K7QM0XPD";
        let typed = typed(address).unwrap();
        let lines: Vec<Vec<char>> = typed
            .lines()
            .map(|line| line.trim_start_matches("\x1b[30;107m").trim_end_matches("\x1b[0m").chars().collect())
            .collect();
        let is_dark = |x: usize, y: usize| match lines[y / 2][x] {
            '█' => true,
            '▀' => y.is_multiple_of(2),
            '▄' => !y.is_multiple_of(2),
            _ => false,
        };
        let (wide, high) = (lines[0].len(), 2 * lines.len());
        let mut image = rqrr::PreparedImage::prepare_from_greyscale(wide * SCALE, high * SCALE, |x, y| {
            if is_dark(x / SCALE, y / SCALE) { 0 } else { 255 }
        });
        assert_eq!(image.detect_grids().first().unwrap().decode().unwrap().1, address);
    }
}
