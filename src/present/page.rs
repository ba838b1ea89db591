//! A page of Markdown for a terminal.
use super::sheet::folded;

/// Widest line, characters.
const WIDTH: usize = 80;
/// How far code, and what belongs under an entry, is set in, characters.
const INDENT: usize = 4;

/// Paragraphs folded, a table's rows as an entry each.
#[must_use]
pub fn page(markdown: &str) -> String {
    let mut page = Lines::default();
    let mut is_code = false;
    let mut lines = markdown.lines().peekable();
    while let Some(line) = lines.next() {
        if line.starts_with("```") {
            page.close();
            is_code = !is_code;
        } else if is_code {
            page.line(INDENT, line);
        } else if let Some(title) = line.strip_prefix('#') {
            page.close();
            page.line(0, title.trim_start_matches('#').trim_start());
        } else if let Some(row) = line.strip_prefix("| ") {
            page.close();
            // A head row has its rule under it.
            if lines.next_if(|next| next.starts_with("|-")).is_none() {
                let (entry, rest) = row.split_once(" | ").unwrap_or((row, ""));
                page.line(0, entry.trim_end_matches('|').trim());
                let rest = rest.trim_end_matches('|').replace(" | ", "; ");
                page.folded([INDENT; 2], &rest);
            }
        } else if line.is_empty() {
            page.close();
            page.space();
        } else {
            let item = line.trim_start();
            if item.starts_with("- ") {
                page.close();
                page.indent = line.len() - item.len();
            }
            page.paragraph.push(' ');
            page.paragraph.push_str(item);
        }
    }
    page.close();
    page.text.replace("**", "")
}

/// The page so far, and the paragraph that is not yet ended.
#[derive(Default)]
struct Lines {
    text: String,
    paragraph: String,
    /// How far the item is set in that the paragraph is of.
    indent: usize,
}

impl Lines {
    fn line(&mut self, indent: usize, line: &str) {
        self.text.push_str(&format!("{:indent$}{line}\n", ""));
    }

    /// One empty line, where there is none.
    fn space(&mut self) {
        if !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
    }

    /// A text in lines, the first set in so far, the others so far.
    fn folded(&mut self, [first, then]: [usize; 2], text: &str) {
        for (number, line) in folded(text, WIDTH - then).iter().enumerate() {
            if !line.is_empty() {
                self.line(if number == 0 { first } else { then }, line);
            }
        }
    }

    /// Ends the paragraph; an item hangs out by its dash.
    fn close(&mut self) {
        let paragraph = std::mem::take(&mut self.paragraph);
        let indent = std::mem::take(&mut self.indent);
        let then = if paragraph.starts_with(" - ") { 2 } else { 0 };
        self.folded([indent, indent + then], &paragraph);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reference::PAGES;

    #[test]
    fn a_page_is_folded_for_a_terminal() {
        let markdown = "# Title\n\nSome **words** of a\nparagraph.\n\n| key | meaning |\n|---|---|\n| `a` | its meaning |\n\n- an item\n  of two lines\n  - one below\n\n```text\nawash float x\n```\n";
        assert_eq!(
            page(markdown),
            "Title\n\nSome words of a paragraph.\n\n`a`\n    its meaning\n\n- an item of two lines\n  - one below\n\n    awash float x\n"
        );
    }

    #[test]
    fn pages_fit_the_terminal() {
        for one in PAGES {
            let text = page(one.markdown);
            let widest = text.lines().max_by_key(|line| line.chars().count());
            let is_code = |line: &str| line.starts_with("    ");
            let over = text
                .lines()
                .filter(|line| line.chars().count() > WIDTH && !is_code(line));
            assert_eq!(over.count(), 0, "{}: {widest:?}", one.name);
            assert!(
                !text.contains("|---") && !text.contains("```"),
                "{}",
                one.name
            );
        }
    }
}
