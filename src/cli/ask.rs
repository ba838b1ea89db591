//! Questions on a terminal, one at a time.
use std::io::{BufRead, Write};

use super::CommandError;
use crate::present::{folded, harmless};

/// Columns that questions are folded to.
const WIDTH: usize = 78;

/// Someone to be asked. Works with lines from a pipe as well.
pub(super) struct Person<I, O> {
    pub(super) input: I,
    pub(super) output: O,
}

/// What Enter stands for where things are asked for until there are no more.
pub(super) const NO_MORE: &str = "no more";
pub(super) const NOTHING_MORE: &str = "nothing more";

/// A question.
pub(super) struct Question<'a> {
    /// What is asked.
    pub(super) asks: &'a str,
    /// What Enter stands for.
    pub(super) enter: &'a str,
    /// How to find out, and what not knowing costs; told at `?`.
    pub(super) help: &'a str,
}

impl<I: BufRead, O: Write> Person<I, O> {
    /// Says something, its lines folded.
    pub(super) fn tell(&mut self, text: &str) -> Result<(), CommandError> {
        for line in text
            .split('\n')
            .flat_map(|line| folded(&harmless(line), WIDTH))
        {
            writeln!(self.output, "{line}")?;
        }
        Ok(())
    }

    /// Asks until an answer can be read; `None` for Enter and for "don't know".
    pub(super) fn ask<T>(
        &mut self,
        question: &Question<'_>,
        read: impl Fn(&str) -> Result<T, String>,
    ) -> Result<Option<T>, CommandError> {
        self.tell("")?;
        self.tell(question.asks)?;
        self.tell(&format!("  [Enter: {}; ? for help]", question.enter))?;
        loop {
            write!(self.output, "> ").map_err(CommandError::Write)?;
            self.output.flush().map_err(CommandError::Write)?;
            let mut line = String::new();
            let bytes = self.input.read_line(&mut line);
            if bytes.map_err(|error| {
                CommandError::Message(format!("cannot read the answer: {error}"))
            })? == 0
            {
                return Err(CommandError::Message(format!(
                    "the answers ended at \"{}\": nothing was written; start again",
                    question.asks
                )));
            }
            match line.trim() {
                "?" => self.tell(question.help)?,
                answer if is_not_known(answer) || ends(question, answer) => return Ok(None),
                answer => match read(answer) {
                    Ok(read) => return Ok(Some(read)),
                    Err(wrong) => self.tell(&format!("{wrong}. Try again, or press Enter."))?,
                },
            }
        }
    }
}

/// Whether "no" says that there is no more, where that is what Enter stands for.
fn ends(question: &Question<'_>, answer: &str) -> bool {
    let more = [NO_MORE, NOTHING_MORE].contains(&question.enter);
    let answer = answer.to_lowercase();
    more && matches!(
        answer.trim_end_matches('.'),
        "n" | "no" | "none" | "nothing" | NO_MORE | NOTHING_MORE
    )
}

fn is_not_known(answer: &str) -> bool {
    let plain = answer.to_lowercase().replace(['\'', '’', '.'], "");
    matches!(
        plain.as_str(),
        "" | "dont know" | "i dont know" | "not known" | "dk"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn number(answers: &str) -> (Result<Option<i32>, CommandError>, String) {
        let mut person = Person {
            input: answers.as_bytes(),
            output: Vec::new(),
        };
        let question = Question {
            asks: "How many?",
            enter: "none",
            help: "Count them.",
        };
        let found = person.ask(&question, |text| {
            text.parse().map_err(|_| "no number".to_owned())
        });
        (found, String::from_utf8(person.output).unwrap())
    }

    #[test]
    fn asks_again_until_it_can_be_read_and_helps() {
        let (found, said) = number("?\nmany\n3\n");
        assert_eq!(found.unwrap(), Some(3));
        assert!(
            said.contains("Count them.") && said.contains("no number. Try again"),
            "{said}"
        );
    }

    /// A thing called "no" is nothing; elsewhere a "no" is read as an answer.
    #[test]
    fn no_is_no_more_where_enter_says_so() {
        for (enter, answer, read) in [
            ("no more", "no\n", None),
            ("nothing more", "None\n", None),
            ("no more", "node\n", Some("node")),
            ("yes", "no\n", Some("no")),
        ] {
            let mut person = Person {
                input: answer.as_bytes(),
                output: Vec::new(),
            };
            let question = Question {
                asks: "Its name?",
                enter,
                help: "",
            };
            let found = person.ask(&question, |text| Ok(text.to_owned())).unwrap();
            assert_eq!(found.as_deref(), read, "{enter}: {answer}");
        }
    }

    #[test]
    fn not_knowing_is_an_answer_and_an_end_is_not() {
        for none in ["\n", "don't know\n", "Don’t know.\n"] {
            assert_eq!(number(none).0.unwrap(), None, "{none:?}");
        }
        let error = number("").0.unwrap_err().to_string();
        assert!(error.contains("nothing was written"), "{error}");
    }
}
