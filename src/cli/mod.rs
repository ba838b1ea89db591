//! The command line: arguments, one file a command (load → study → present),
//! no arithmetic.
//!
//! Exit codes: 0 fine, 1 a yardstick is failed under `--strict`, 2 bad input.
use std::cell::{OnceCell, RefCell};
use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::{Args, Parser, Subcommand, ValueEnum};
use serde::Serialize;

use crate::boat::file::MeshUnits;
use crate::boat::{Boat, BoatError, BoatFile, BoatMaker, HullFrame};
use crate::equilibrium::{LevelWallsError, with_level_walls};
use crate::present::{Present, csv_rows, csv_text, harmless, json_text, with_words};
use crate::quantity::{Dimension, Quantity, UnitSystem};
use crate::study::NamedError;

mod ask;
mod calibrate;
mod compare;
mod completions;
mod curves;
mod demo;
mod dive;
mod drill;
mod files;
mod float;
mod flooded;
mod foam;
mod groups;
mod init;
mod inspect;
mod list;
mod manual;
mod margins;
mod mend;
mod place;
mod progress;
mod reference;
mod report;
mod righting;
mod schema;
mod section;
mod sill;
mod slice;
mod spread;
mod start;
mod swamp;
mod tape;
mod template;
mod trapped;
mod view;
mod whereabouts;

/// What the user asked for.
#[derive(Debug, Parser)]
#[command(
    version,
    about = "How a cut, decked and loaded small hull floats, and how close the water stands to every opening in it",
    after_help = "Start with: awash start hull.stl, which asks what it needs, or: awash demo\n\
                  Calm still water only. Nothing here clears a craft for use; local rules and licensed practice come first."
)]
pub struct Arguments {
    #[command(subcommand)]
    command: Command,
    #[command(flatten)]
    output: Output,
}

#[derive(Debug, Subcommand)]
enum Command {
    Slice(slice::Slice),
    Float(float::Float),
    Start(start::Start),
    Init(init::Init),
    Margins(margins::Margins),
    Report(report::Report),
    Righting(righting::Righting),
    Curves(curves::Curves),
    Dive(dive::Dive),
    Spread(spread::Spread),
    Swamp(swamp::Swamp),
    Trapped(trapped::Trapped),
    Flooded(flooded::Flooded),
    Foam(foam::Foam),
    Compare(compare::Compare),
    Inspect(inspect::Inspect),
    Mend(mend::Mend),
    Place(place::Place),
    Sill(sill::Sill),
    Calibrate(calibrate::Calibrate),
    Section(section::Section),
    Tape(tape::Tape),
    Drill(drill::Drill),
    List(list::List),
    Template(template::Template),
    View(view::View),
    Where(whereabouts::Where),
    Demo(demo::Demo),
    Reference(reference::Reference),
    Schema(schema::Schema),
    Completions(completions::Completions),
    Manual(manual::Manual),
}

/// How every command answers.
#[derive(Debug, Args)]
struct Output {
    /// table for people, json (SI) and csv (SI; key,value; lists have one line a row) for
    /// programs
    #[arg(long, global = true, value_enum, default_value_t = Format::Table)]
    format: Format,
    /// Units of the table
    #[arg(long, global = true, value_enum, default_value_t = UnitSystem::Metric)]
    units: UnitSystem,
    /// Exit with 1 when a yardstick is failed
    #[arg(long, global = true)]
    strict: bool,
    /// What x, y and z of this run count from, once a boat is read.
    #[arg(skip)]
    origin: OnceCell<HullFrame>,
    /// What was answered, where the caller wants it instead of the terminal.
    #[arg(skip)]
    kept: Option<RefCell<Answer>>,
}

/// One answer in every form, as [`answer`] gives it.
#[derive(Debug, Clone, Default)]
pub struct Answer {
    /// `--format table`.
    pub table: String,
    /// `--format json`.
    pub json: String,
    /// `--format csv`.
    pub csv: String,
    /// The result itself as Rust prints it: here a number that is none shows, which JSON
    /// and CSV leave out.
    pub result: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    Table,
    Json,
    Csv,
}

/// Unit of the numbers in a mesh file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum UnitName {
    M,
    Cm,
    Mm,
    In,
    Ft,
}

impl UnitName {
    /// Metres in one.
    fn metres(self) -> f64 {
        match self {
            Self::M => MeshUnits::Metre,
            Self::Cm => MeshUnits::Centimetre,
            Self::Mm => MeshUnits::Millimetre,
            Self::In => MeshUnits::Inch,
            Self::Ft => MeshUnits::Foot,
        }
        .metres()
    }
}

/// Why a command could not answer: a message for the user.
#[derive(Debug, thiserror::Error)]
enum CommandError {
    #[error(transparent)]
    Boat(#[from] crate::boat::BoatError),
    #[error(transparent)]
    Mesh(#[from] crate::mesh::MeshError),
    #[error("{}: {source}{}", boat.display(), after_error(doubts))]
    Equilibrium {
        boat: PathBuf,
        /// Most likely the reason.
        doubts: Vec<crate::mesh::Doubt>,
        source: crate::equilibrium::EquilibriumError,
    },
    #[error("{0}")]
    Message(String),
    #[error("cannot write the result: {0}")]
    Write(#[from] io::Error),
    #[error("cannot write the result as text: {0}")]
    Serialise(#[from] serde_json::Error),
}

impl CommandError {
    /// No resting attitude, and what may be why.
    fn of_rest(path: &Path, boat: &Boat, source: crate::equilibrium::EquilibriumError) -> Self {
        Self::Equilibrium {
            boat: path.to_owned(),
            doubts: boat.doubts.clone(),
            source,
        }
    }

    /// A thing aboard that is not there, or no resting attitude.
    fn of_named(path: &Path, boat: &Boat, error: NamedError) -> Self {
        match error {
            NamedError::Equilibrium(source) => Self::of_rest(path, boat, source),
            other => Self::Message(format!("{}: {other}", path.display())),
        }
    }
}

impl Output {
    /// A boat; the first of a run says what x, y and z count from.
    fn load(&self, path: &Path) -> Result<Boat, CommandError> {
        Ok(self.load_by(path, |file| Boat::of_file(path, file))?.1)
    }

    fn load_by(
        &self,
        path: &Path,
        make: impl FnOnce(&BoatFile) -> Result<Boat, BoatError>,
    ) -> Result<(BoatFile, Boat), CommandError> {
        let progress = progress::Progress::new();
        progress.say("reading the boat file and its meshes");
        let file = BoatFile::read(path).map_err(BoatError::from)?;
        let file = with_level_walls(path, file).map_err(|error| match error {
            LevelWallsError::Boat(error) => CommandError::Boat(error),
            other => CommandError::Message(format!("{}: {other}", path.display())),
        })?;
        let boat = make(&file)?;
        drop(progress);
        self.origin.get_or_init(|| boat.frame);
        Ok((file, boat))
    }

    /// A boat that is to be floated: its hull must weigh something.
    fn load_floating(&self, path: &Path) -> Result<Boat, CommandError> {
        let boat = self.load(path)?;
        with_hull_mass(path, boat)
    }

    /// As [`Self::load_floating`], with its file, of several boats that may share a hull.
    fn load_floating_by(
        &self,
        maker: &BoatMaker,
        path: &Path,
    ) -> Result<(BoatFile, Boat), CommandError> {
        let (file, boat) = self.load_by(path, |file| maker.make(path, file))?;
        Ok((file, with_hull_mass(path, boat)?))
    }
}

fn with_hull_mass(path: &Path, boat: Boat) -> Result<Boat, CommandError> {
    if boat.has_hull_mass {
        return Ok(boat);
    }
    Err(CommandError::Message(format!(
        "{}: [hull] has no mass: weigh the bare hull and give `mass` and `centre`, or give `skin = {{ thickness = \"4 mm\", density = \"1500 kg/m3\" }}`",
        path.display()
    )))
}

/// Whether every yardstick was met.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Outcome {
    Fine,
    YardstickFailed,
}

/// As [`run`], for programs that ask many times in one process: gives the answer back
/// in place of printing it; nothing where the command was refused.
#[must_use]
pub fn answer(mut arguments: Arguments) -> Option<Answer> {
    arguments.output.kept = Some(RefCell::default());
    let code = run(&arguments);
    let kept = arguments.output.kept.take()?.into_inner();
    (code != ExitCode::from(2)).then_some(kept)
}

/// Runs a command, prints its answer or its error, and gives the exit code.
#[must_use]
pub fn run(arguments: &Arguments) -> ExitCode {
    let output = &arguments.output;
    let outcome = match &arguments.command {
        Command::Slice(command) => command.run(output),
        Command::Float(command) => command.run(output),
        Command::Start(command) => command.run(output),
        Command::Init(command) => command.run(output),
        Command::Margins(command) => command.run(output),
        Command::Report(command) => command.run(output),
        Command::Righting(command) => command.run(output),
        Command::Curves(command) => command.run(output),
        Command::Dive(command) => command.run(output),
        Command::Spread(command) => command.run(output),
        Command::Swamp(command) => command.run(output),
        Command::Trapped(command) => command.run(output),
        Command::Flooded(command) => command.run(output),
        Command::Foam(command) => command.run(output),
        Command::Compare(command) => command.run(output),
        Command::Inspect(command) => command.run(output),
        Command::Mend(command) => command.run(output),
        Command::Place(command) => command.run(output),
        Command::Sill(command) => command.run(output),
        Command::Calibrate(command) => command.run(output),
        Command::Section(command) => command.run(output),
        Command::Tape(command) => command.run(output),
        Command::Drill(command) => command.run(output),
        Command::List(command) => command.run(output),
        Command::Template(command) => command.run(output),
        Command::View(command) => command.run(output),
        Command::Where(command) => command.run(output),
        Command::Demo(command) => command.run(),
        Command::Reference(command) => command.run(),
        Command::Schema(command) => command.run(),
        Command::Completions(command) => command.run(),
        Command::Manual(command) => command.run(),
    };
    match outcome {
        Ok(Outcome::YardstickFailed) if output.strict => ExitCode::from(1),
        Ok(_) => ExitCode::SUCCESS,
        // The reader of a pipe went away: nothing to tell anyone.
        Err(CommandError::Write(error)) if error.kind() == io::ErrorKind::BrokenPipe => {
            ExitCode::SUCCESS
        }
        Err(error) => {
            // Names in it come from files.
            let told = harmless(&error.to_string());
            let _ = writeln!(io::stderr(), "error: {told}");
            ExitCode::from(2)
        }
    }
}

impl Output {
    /// A result for programs, behind what its x, y and z count from.
    fn placed(&self, result: &impl Present) -> Result<serde_json::Value, CommandError> {
        let mut value = with_words(result)?;
        if let Some(frame) = self.origin.get()
            && let Some(members) = value.as_object_mut()
        {
            let origin = Origin {
                words: frame.in_words(UnitSystem::Metric),
                frame: *frame,
            };
            members.shift_insert(0, "origin".to_owned(), serde_json::to_value(origin)?);
        }
        Ok(value)
    }

    fn text(&self, result: &impl Present, format: Format) -> Result<String, CommandError> {
        Ok(match format {
            Format::Table => {
                let mut sheet = result.sheet(self.units);
                if let Some(origin) = self.origin.get() {
                    sheet.under_title(&origin.in_words(self.units));
                }
                let width = self.kept.is_none().then(terminal_width).flatten();
                match width {
                    Some(width) if is_coloured() => sheet.coloured(width),
                    Some(width) => sheet.folded(width),
                    None => sheet.to_string(),
                }
            }
            Format::Json => json_text(&self.placed(result)?)?,
            Format::Csv => match result.rows() {
                Some(rows) => csv_rows(&rows),
                None => csv_text(&self.placed(result)?, result.bands()),
            },
        })
    }

    /// Prints a result in the wanted format.
    fn print(&self, result: &impl Present) -> Result<(), CommandError> {
        if let Some(kept) = &self.kept {
            *kept.borrow_mut() = Answer {
                table: self.text(result, Format::Table)?,
                json: self.text(result, Format::Json)?,
                csv: self.text(result, Format::Csv)?,
                result: format!("{result:?}"),
            };
            return Ok(());
        }
        let text = self.text(result, self.format)?;
        let mut stdout = io::stdout().lock();
        stdout.write_all(text.as_bytes())?;
        Ok(stdout.flush()?)
    }
}

/// Whether verdicts are in colour: on a terminal that shows it, unless `NO_COLOR` is set.
fn is_coloured() -> bool {
    anstream::AutoStream::choice(&io::stdout()) != anstream::ColorChoice::Never
}

/// Columns of the terminal that the table goes to, 80 where it does not say; what `COLUMNS`
/// asks for wherever the table goes. `None` for a pipe or a file, which gets whole lines.
fn terminal_width() -> Option<usize> {
    let asked = std::env::var("COLUMNS").ok();
    let asked = asked.and_then(|columns| columns.trim().parse().ok());
    let asked = asked.filter(|columns| *columns > 0);
    asked.or_else(|| {
        let size = terminal_size::terminal_size_of(io::stdout());
        let columns = size.map(|(terminal_size::Width(columns), _)| usize::from(columns));
        let is_terminal = io::stdout().is_terminal();
        is_terminal.then(|| columns.unwrap_or(USUAL_COLUMNS))
    })
}

/// Columns of a terminal that does not say.
const USUAL_COLUMNS: usize = 80;

#[derive(Serialize)]
struct Origin {
    words: String,
    #[serde(flatten)]
    frame: HullFrame,
}

/// Doubts, each on a line of its own below an error.
fn after_error(doubts: &[crate::mesh::Doubt]) -> String {
    doubts
        .iter()
        .map(|doubt| format!("\n  doubt: {doubt}"))
        .collect()
}

/// A length on the command line: `0.25`, "250 mm", "9 7/8 in".
fn length_m(text: &str) -> Result<f64, String> {
    quantity(text, Dimension::Length)
}

/// An angle on the command line: `12`, "12 deg".
fn angle_deg(text: &str) -> Result<f64, String> {
    quantity(text, Dimension::Angle)
}

fn quantity(text: &str, dimension: Dimension) -> Result<f64, String> {
    let quantity = Quantity::parse(text, dimension).map_err(|error| error.to_string())?;
    if quantity.spread > 0.0 {
        return Err("an option takes one value without a ±; only the boat file takes a ±".into());
    }
    Ok(quantity.value)
}

/// Whether a file's name says that it is a boat file.
fn is_boat_file(path: &Path) -> bool {
    let (file, _) = BoatFile::path_and_condition(path);
    file.extension()
        .is_some_and(|extension| extension.eq_ignore_ascii_case("toml"))
}
