//! `awash --help`: the commands in groups, a beginner's first.
use clap::{Command, CommandFactory, FromArgMatches};

use super::Arguments;
use crate::present::folded;

/// Titles, and the commands under each.
const GROUPS: &[(&str, &[&str])] = &[
    (
        "Start here",
        &[
            "start", "inspect", "mend", "float", "margins", "drill", "compare", "report",
        ],
    ),
    ("For scripts", &["init"]),
    ("Afloat", &["slice", "curves", "righting", "spread"]),
    ("Where weights and walls go", &["place", "sill"]),
    ("What happens then", &["swamp", "flooded", "foam"]),
    ("Under water", &["dive", "trapped"]),
    (
        "On paper and by tape",
        &["section", "template", "tape", "where", "list", "calibrate"],
    ),
    ("In 3D", &["view"]),
    (
        "About the program",
        &[
            "demo",
            "reference",
            "schema",
            "manual",
            "completions",
            "help",
        ],
    ),
];
/// Columns of a terminal, where its help is folded.
const WIDTH: usize = 80;

impl Arguments {
    /// What was asked on the command line; prints help or an error and ends where it asks
    /// for that.
    #[must_use]
    pub fn read() -> Self {
        let mut program = in_groups(Self::command());
        let matches = program.get_matches_mut();
        Self::from_arg_matches(&matches).unwrap_or_else(|error| error.format(&mut program).exit())
    }
}

/// The same with its commands listed in groups.
pub(super) fn in_groups(mut program: Command) -> Command {
    program.build();
    let widest = GROUPS.iter().flat_map(|(_, names)| names.iter());
    let widest = widest.map(|name| name.len()).max().unwrap_or(0);
    let mut list = String::new();
    for (title, names) in GROUPS {
        list.push_str(&format!("{title}:\n"));
        for name in *names {
            let about = program.find_subcommand(name).and_then(Command::get_about);
            let about = about.map_or_else(String::new, ToString::to_string);
            let room = WIDTH - widest - 4;
            for (number, line) in folded(&about, room).iter().enumerate() {
                let name = if number == 0 { name } else { "" };
                list.push_str(format!("  {name:widest$}  {line}").trim_end());
                list.push('\n');
            }
        }
        list.push('\n');
    }
    program.help_template(format!(
        "{{about-with-newline}}\n{{usage-heading}} {{usage}}\n\n{list}Options:\n{{options}}{{after-help}}"
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_command_stands_in_one_group() {
        let mut program = Arguments::command();
        program.build();
        let mut grouped: Vec<&str> = GROUPS
            .iter()
            .flat_map(|(_, names)| names.iter().copied())
            .collect();
        let mut known: Vec<&str> = program.get_subcommands().map(Command::get_name).collect();
        grouped.sort_unstable();
        known.sort_unstable();
        assert_eq!(grouped, known);
        assert_eq!(GROUPS[0].1.len(), 8);
    }
}
