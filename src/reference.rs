//! The pages of `awash reference`: what the program, its boat file and its results mean.
//! Each page is one text, printed by the program and shown here.

#[doc = include_str!("reference/boat-file.md")]
pub mod boat_file {}
#[doc = include_str!("reference/guide.md")]
pub mod guide {}
#[doc = include_str!("reference/releases.md")]
pub mod releases {}
#[doc = include_str!("reference/results.md")]
pub mod results {}
#[doc = include_str!("reference/trust.md")]
pub mod trust {}
#[doc = include_str!("reference/words.md")]
pub mod words {}

/// Widest line on a terminal, characters.
const WIDTH: usize = 80;
/// How far what belongs under a line is set in, characters.
const INDENT: usize = 4;

/// One page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub struct Page {
    /// What it is asked for by.
    pub name: &'static str,
    /// What it tells, in a line.
    pub about: &'static str,
    /// Its text, Markdown.
    pub markdown: &'static str,
}

/// All pages.
pub const PAGES: &[Page] = &[
    Page {
        name: "guide",
        about: "the job step by step: every command, and what it takes and tells",
        markdown: include_str!("reference/guide.md"),
    },
    Page {
        name: "boat-file",
        about: "every key of the boat file",
        markdown: include_str!("reference/boat-file.md"),
    },
    Page {
        name: "results",
        about: "every key of --format json",
        markdown: include_str!("reference/results.md"),
    },
    Page {
        name: "words",
        about: "the trade terms used, each in a line",
        markdown: include_str!("reference/words.md"),
    },
    Page {
        name: "trust",
        about: "what the numbers were checked against, and what is not guaranteed",
        markdown: include_str!("reference/trust.md"),
    },
    Page {
        name: "releases",
        about: "what stays from one release to the next",
        markdown: include_str!("reference/releases.md"),
    },
];

impl Page {
    /// The page for a terminal: paragraphs folded, a table's rows as an entry each.
    #[must_use]
    pub fn plain(&self) -> String {
        let mut out = String::new();
        let mut paragraph: Option<(usize, String)> = None;
        let mut is_code = false;
        let mut lines = self.markdown.lines().peekable();
        while let Some(line) = lines.next() {
            let starts_item = line.starts_with("- ") || line.starts_with("| ");
            if is_code || line.is_empty() || line.starts_with("```") || starts_item {
                close(&mut out, &mut paragraph);
            }
            if line.starts_with("```") {
                is_code = !is_code;
            } else if is_code {
                out.push_str(&format!("{:INDENT$}{line}\n", ""));
            } else if line.is_empty() {
                if !out.ends_with("\n\n") {
                    out.push('\n');
                }
            } else if let Some(title) = line.trim_start_matches('#').strip_prefix(' ')
                && line.starts_with('#')
            {
                out.push_str(title);
                out.push('\n');
            } else if let Some(row) = line.strip_prefix("| ") {
                // A head row has its rule under it.
                if lines.next_if(|next| next.starts_with("|-")).is_some() {
                    continue;
                }
                let (first, rest) = row.split_once(" | ").unwrap_or((row, ""));
                let rest = rest.trim_end_matches('|').replace(" | ", "; ");
                out.push_str(first.trim_end_matches('|').trim());
                out.push('\n');
                fold(&mut out, INDENT, &rest);
            } else {
                let indent = if line.starts_with("- ") { 2 } else { 0 };
                let (_, text) = paragraph.get_or_insert_with(|| (indent, String::new()));
                text.push(' ');
                text.push_str(line.trim());
            }
        }
        close(&mut out, &mut paragraph);
        out.replace("**", "")
    }
}

fn close(out: &mut String, paragraph: &mut Option<(usize, String)>) {
    if let Some((indent, text)) = paragraph.take() {
        fold(out, indent, &text);
    }
}

/// Adds a text in lines of at most [`WIDTH`]; the first of an item hangs out by its dash.
fn fold(out: &mut String, indent: usize, text: &str) {
    let mut line = String::new();
    let mut is_first = true;
    let mut put = |line: &mut String| {
        let hangs = is_first && line.starts_with("- ");
        let by = if hangs {
            indent.saturating_sub(2)
        } else {
            indent
        };
        out.push_str(&format!("{:by$}{line}\n", ""));
        is_first = false;
        line.clear();
    };
    for word in text.split_whitespace() {
        if !line.is_empty() && indent + line.chars().count() + 1 + word.chars().count() > WIDTH {
            put(&mut line);
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    if !line.is_empty() {
        put(&mut line);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_is_folded_for_a_terminal() {
        let page = Page {
            name: "x",
            about: "y",
            markdown: "# Title\n\nSome **words** of a\nparagraph.\n\n| key | meaning |\n|---|---|\n| `a` | its meaning |\n\n- an item\n  of two lines\n\n```text\nawash float x\n```\n",
        };
        assert_eq!(
            page.plain(),
            "Title\n\nSome words of a paragraph.\n\n`a`\n    its meaning\n\n- an item of two lines\n\n    awash float x\n"
        );
    }

    #[test]
    fn pages_fit_the_terminal() {
        for page in PAGES {
            let text = page.plain();
            let widest = text.lines().max_by_key(|line| line.chars().count());
            let is_code = |line: &str| line.starts_with("    ");
            let over = text
                .lines()
                .filter(|line| line.chars().count() > WIDTH && !is_code(line));
            assert_eq!(over.count(), 0, "{}: {widest:?}", page.name);
            assert!(
                !text.contains("|---") && !text.contains("```"),
                "{}",
                page.name
            );
        }
    }
}
