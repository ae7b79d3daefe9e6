//! What the platform takes at most, and cutting to it.
//!
//! Lengths are counted in UTF-16 units, the strictest way anyone there counts them.

/// Text of a message beside its embeds.
pub const CONTENT: usize = 2_000;
pub const TITLE: usize = 256;
pub const THREAD_NAME: usize = 100;
pub const DESCRIPTION: usize = 4_096;
/// Embeds of a message; all their text together may be 6 000 long, which `paint` keeps by its own shares.
pub const EMBEDS: usize = 10;
pub const FILES: usize = 10;
/// Alt text of an attached file.
pub const ALT: usize = 1_024;
/// Bytes of a file, unless the server allows more.
pub const FILE_BYTES: usize = 10 * 1024 * 1024;
pub const ROWS: usize = 5;
pub const ROW_BUTTONS: usize = 5;
pub const LABEL: usize = 80;
pub const CUSTOM_ID: usize = 100;
pub const MENU: usize = 25;
pub const MENU_LABEL: usize = 100;
pub const MODAL_TITLE: usize = 45;
pub const MODAL_INPUTS: usize = 5;
pub const MODAL_LABEL: usize = 45;
pub const PLACEHOLDER: usize = 100;
pub const CHOICES: usize = 25;
/// Name or value of a choice, and a description of a command or an option.
pub const SHORT: usize = 100;

/// Length as the platform may count it.
pub fn size(text: &str) -> usize {
    text.chars().map(char::len_utf16).sum()
}

/// The longest beginning that fits, ending in an ellipsis where something was left off.
pub fn cut(text: &str, most: usize) -> String {
    if size(text) <= most {
        return text.to_owned();
    }
    let mut out = String::new();
    let mut used = 1;
    for c in text.chars() {
        used += c.len_utf16();
        if used > most {
            break;
        }
        out.push(c);
    }
    out.push('…');
    out
}

/// One line of text that fits and is never blank.
pub fn line(text: &str, most: usize, otherwise: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    let text = if words.is_empty() { otherwise.to_owned() } else { words.join(" ") };
    cut(&text, most)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cutting_keeps_whole_characters() {
        assert_eq!(cut("0.004 in", 8), "0.004 in");
        assert_eq!(cut("0.004 inch", 8), "0.004 i…");
        assert_eq!(cut("🔧🔧🔧", 4), "🔧…");
        assert_eq!(line(" a\n b ", 10, "-"), "a b");
        assert_eq!(line(" \n ", 10, "-"), "-");
    }
}
