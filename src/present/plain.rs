//! Text from files made harmless for whatever shows it.

/// Whether a character steers a terminal or the order of letters rather than being
/// shown: control characters of both blocks, and those that turn the way of writing
/// (Unicode standard, chapters 23.1 and 23.2; from memory).
fn steers(character: char) -> bool {
    character.is_control()
        || matches!(character, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// The same text with a mark in place of every character that steers; line ends and
/// tabs stay.
#[must_use]
pub fn harmless(text: &str) -> String {
    let shown = |character: char| match character {
        '\n' | '\t' => character,
        c if steers(c) => char::REPLACEMENT_CHARACTER,
        c => c,
    };
    text.chars().map(shown).collect()
}

/// As [`harmless`], on one line.
pub(super) fn on_one_line(text: &str) -> String {
    harmless(text).replace(['\n', '\t'], " ")
}

/// The text in lines of at most so many letters, but for longer words.
pub(super) fn lines_of(text: &str, letters: f64) -> Vec<String> {
    lines_that(text, |line| line.chars().count() as f64 <= letters)
}

/// The text in lines that fit, but for longer words.
pub(super) fn lines_that(text: &str, fits: impl Fn(&str) -> bool) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if fits(&format!("{line} {word}")) => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// JSON whose texts hold no character that steers: those that its writer leaves as they
/// are become escapes. Outside texts there are none.
pub(super) fn escaped_json(json: &str) -> String {
    let mut out = String::with_capacity(json.len());
    for character in json.chars() {
        if character != '\n' && steers(character) {
            out.push_str(&format!("\\u{:04x}", u32::from(character)));
        } else {
            out.push(character);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_steers_a_terminal_becomes_a_mark() {
        let name = "a\u{1b}[2Jb\u{9b}c\u{202e}d\u{7f}\ne";
        assert_eq!(harmless(name), "a\u{fffd}[2Jb\u{fffd}c\u{fffd}d\u{fffd}\ne");
        assert_eq!(on_one_line("a\nb\tc"), "a b c");
        let json = serde_json::to_string(name).unwrap();
        let escaped = escaped_json(&json);
        assert!(!escaped.chars().any(steers), "{escaped:?}");
        assert_eq!(serde_json::from_str::<String>(&escaped).unwrap(), name);
    }
}
