//! Text made safe for the platform's Markdown: what a person typed shows as typed, and pings nobody.

use super::limits;

/// Every character that could start markup or a mention behind a backslash; on one line or several.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for (at, line) in text.lines().enumerate() {
        if at > 0 {
            out.push('\n');
        }
        escape_line(line, &mut out);
    }
    out
}

/// Escaped on one line, at most `most` long, whole escapes only.
pub fn escape_to(text: &str, most: usize) -> String {
    let text = limits::line(text, most, "");
    let whole = escape(&text);
    if limits::size(&whole) <= most {
        return whole;
    }
    let mut kept: Vec<char> = text.chars().collect();
    loop {
        kept.pop();
        let escaped = escape(&kept.iter().collect::<String>());
        if limits::size(&escaped) < most || kept.is_empty() {
            return escaped + "…";
        }
    }
}

fn escape_line(line: &str, out: &mut String) {
    let body = line.trim_start_matches(' ');
    out.push_str(&" ".repeat(line.len() - body.len()));
    // Only at the start of a line do these make a heading, a quote or a list.
    let digits = body.chars().take_while(char::is_ascii_digit).count();
    let opens_item = |at: usize| body.chars().nth(at + 1).is_none_or(|next| next == ' ' || next == '#');
    for (at, c) in body.chars().enumerate() {
        let special = match c {
            '\\' | '*' | '_' | '~' | '`' | '|' | '<' | '@' | '[' | ']' => true,
            '#' | '>' => at == 0,
            '-' | '+' => at == 0 && opens_item(at),
            '.' => digits > 0 && at == digits && opens_item(at),
            _ => false,
        };
        if special {
            out.push('\\');
        }
        out.push(c);
    }
}

/// A code block: nothing inside it is markup, so only what would close it is changed.
pub fn code(lines: &[String]) -> String {
    format!("```\n{}\n```", lines.iter().map(|l| inside_code(l)).collect::<Vec<_>>().join("\n"))
}

/// A line as it may stand inside a code block.
pub fn inside_code(line: &str) -> String {
    line.replace('`', "'")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_typed_becomes_markup_or_a_mention() {
        assert_eq!(escape("**bold** _x_ `c` ~~s~~ ||h||"), r"\*\*bold\*\* \_x\_ \`c\` \~\~s\~\~ \|\|h\|\|");
        assert_eq!(escape("@everyone <@1> <@&2> <#3>"), r"\@everyone \<\@1> \<\@&2> \<#3>");
        assert_eq!(escape("[here](http://a.example)"), r"\[here\](http://a.example)");
        assert_eq!(
            escape("# big\n> quote\n- item\n-0.002 in\n3. third"),
            "\\# big\n\\> quote\n\\- item\n-0.002 in\n3\\. third"
        );
        assert_eq!(escape("0.004 to 0.008 in - fine"), "0.004 to 0.008 in - fine");
    }

    #[test]
    fn cutting_never_splits_an_escape() {
        for most in 2..12 {
            let cut = escape_to("*a*b*c*d*e*", most);
            assert!(limits::size(&cut) <= most, "{cut}");
            assert!(!cut.trim_end_matches('…').ends_with('\\'), "{cut}");
        }
    }

    #[test]
    fn code_cannot_be_left() {
        assert_eq!(code(&["a ``` b".to_owned()]), "```\na ''' b\n```");
    }
}
