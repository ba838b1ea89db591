//! `awash view`
use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::files;
use super::swamp::{From as SwampFrom, flow_m3_s, time_s, volume_m3};
use super::{CommandError, Outcome, Output, angle_deg, length_m};
/// See the boat on the water: where it meets each opening, and what moves it
///
/// Opens a window in which things aboard, covers and parts can be changed, the
/// boat held at a heel, pitch or sinkage and let float again, sections cut and
/// the swamping played; every number comes from the same kernel as the tables.
/// H shows what keys and mouse do. With --snapshot it draws a picture and needs
/// no display.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  awash view meshes/dipper/after.toml meshes/dipper/asfitted.toml\n  awash view meshes/dipper/after.toml --snapshot side.png --view side --heel 8\n\nNeeds awash installed with its viewer: cargo install --path . --features viewer"
)]
pub(super) struct View {
    /// Boat file (TOML)
    boat: PathBuf,
    /// The boat as it was before, drawn as a ghost over it
    before: Option<PathBuf>,
    /// Draw the boat before beside it instead, at the same scale
    #[arg(long, requires = "before")]
    side_by_side: bool,
    /// Draw a picture into this PNG file instead of opening a window
    #[arg(long, value_name = "FILE", value_parser = files::drawing_or_table())]
    snapshot: Option<PathBuf>,
    /// Where to look from
    #[arg(long, value_enum, default_value_t = From::Quarter)]
    view: From,
    /// Size of the picture, pixels
    #[arg(long, value_name = "WIDTHxHEIGHT", value_parser = size, default_value = "1600x1000", requires = "snapshot")]
    size: (u32, u32),
    /// Hold it at a heel, starboard down positive
    #[arg(long, value_name = "ANGLE", value_parser = angle_deg, allow_negative_numbers = true, allow_hyphen_values = true)]
    heel: Option<f64>,
    /// Hold it at a pitch, bow up positive
    #[arg(long, value_name = "ANGLE", value_parser = angle_deg, allow_negative_numbers = true, allow_hyphen_values = true)]
    pitch: Option<f64>,
    /// Press it down by a length from its rest
    #[arg(long, value_name = "LENGTH", value_parser = length_m, allow_negative_numbers = true, allow_hyphen_values = true)]
    sinkage: Option<f64>,
    /// Cover an opening; may be given more than once
    #[arg(long, value_name = "OPENING")]
    cover: Vec<String>,
    /// Cut a section across at this x
    #[arg(long, value_name = "X", value_parser = length_m, allow_negative_numbers = true, allow_hyphen_values = true)]
    section: Option<f64>,
    /// Show it so long after its cheapest sill was pushed under, as `swamp` has it
    #[arg(long, value_name = "TIME", value_parser = time_s, requires = "snapshot", conflicts_with_all = ["heel", "pitch", "sinkage"])]
    swamped: Option<f64>,
    /// What brings the sill under for --swamped: the cheapest knock, the least
    /// lean, or nothing
    #[arg(
        long,
        value_name = "START",
        value_enum,
        default_value = "knock",
        requires = "swamped"
    )]
    from: SwampFrom,
    /// Water already inside for --swamped
    #[arg(long, value_name = "VOLUME", value_parser = volume_m3, requires = "swamped", allow_hyphen_values = true)]
    inside: Option<f64>,
    /// What bailing or a pump takes out for --swamped
    #[arg(long, value_name = "FLOW", value_parser = flow_m3_s, requires = "swamped", allow_hyphen_values = true)]
    bail: Option<f64>,
    /// See through the hull
    #[arg(long)]
    see_through: bool,
    /// Write over a picture or boat file that is already there
    #[arg(long)]
    force: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum From {
    /// From ahead, to starboard and above
    Quarter,
    /// From starboard
    Side,
    Top,
    Bow,
    Stern,
    /// From below, to starboard
    Below,
}

/// Largest picture, pixels a side.
const MOST_PIXELS: u32 = 8192;
/// Smallest picture, pixels a side: less has no room for a label.
const LEAST_PIXELS: u32 = 200;

/// "1600x1000"
fn size(text: &str) -> Result<(u32, u32), String> {
    let parsed = text
        .split_once(['x', 'X', '×'])
        .and_then(|(width, height)| {
            Some((width.trim().parse().ok()?, height.trim().parse().ok()?))
        });
    let fits = |side: u32| (LEAST_PIXELS..=MOST_PIXELS).contains(&side);
    match parsed {
        Some((width, height)) if fits(width) && fits(height) => Ok((width, height)),
        _ => Err(format!(
            "a size is written like 1600x1000, each side {LEAST_PIXELS} to {MOST_PIXELS} pixels"
        )),
    }
}

#[cfg(not(feature = "viewer"))]
impl View {
    #[expect(clippy::unused_self, reason = "as every command's")]
    pub(super) fn run(&self, _output: &Output) -> Result<Outcome, CommandError> {
        Err(CommandError::Message(
            "this awash was installed without its viewer; install it with it: cargo install --path . --features viewer".into(),
        ))
    }
}

#[cfg(feature = "viewer")]
mod shown {
    use std::path::Path;

    use super::super::files::{Writes, is_one_of, named_from, put, put_boat, refuse_existing};
    use super::{CommandError, From, Outcome, Output, PathBuf, View};
    use crate::viewer::{
        Before, SectionPlane, Subject, SubjectError, View as Seen, ViewerState, picture_png,
        run_window,
    };

    impl View {
        pub(in crate::cli) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
            if let Some(target) = &self.snapshot {
                refuse_existing(target, Writes::Page, self.force)?;
            }
            let mut state = self.state()?;
            state.units = output.units;
            let Some(target) = &self.snapshot else {
                let mut save = |state: &ViewerState| self.save(state);
                run_window(&mut state, self.view.seen(), &mut save).map_err(told)?;
                return Ok(Outcome::Fine);
            };
            state.finish();
            if let Some(time_s) = self.swamped {
                show_after(&mut state, time_s)?;
            }
            let png = picture_png(&state, self.view.seen(), self.size).map_err(told)?;
            put(target, &png, self.force)?;
            Ok(Outcome::Fine)
        }

        /// The boat, lying as the options say.
        fn state(&self) -> Result<ViewerState, CommandError> {
            let subject = load(&self.boat)?;
            let before = self.before.as_deref().map(load).transpose()?;
            let mut state = ViewerState::new(subject, before);
            for name in &self.cover {
                let openings = &state.subject().boat.openings;
                if openings.iter().all(|opening| opening.name != *name) {
                    let names: Vec<&str> = openings.iter().map(|o| o.name.as_str()).collect();
                    return Err(CommandError::Message(format!(
                        "{}: there is no opening \"{name}\" to cover; it has: {}",
                        self.boat.display(),
                        names.join(", ")
                    )));
                }
                state.change(|edits, subject| edits.cover(subject, name, true));
                state.let_go();
            }
            state.show.see_through = self.see_through;
            if self.side_by_side {
                state.show.before = Before::Beside;
            }
            state.knocked.start = self.from.start();
            state.knocked.inside_m3 = self.inside.unwrap_or(0.0);
            state.knocked.bailed_m3_s = self.bail.unwrap_or(0.0);
            if state.knocked.inside_m3 < 0.0 || state.knocked.bailed_m3_s < 0.0 {
                return Err(CommandError::Message(
                    "--inside and --bail must not be negative".into(),
                ));
            }
            state.show.section = self.section.map(|at_m| SectionPlane { axis: 0, at_m });
            if let Some(heel) = self.heel {
                state.hold_heel(heel);
            }
            if let Some(pitch) = self.pitch {
                state.hold_pitch(pitch);
            }
            if let Some(sinkage) = self.sinkage {
                state.hold_sinkage(sinkage);
            }
            Ok(state)
        }

        /// Writes what was changed beside the boat's file.
        fn save(&self, state: &ViewerState) -> Result<String, String> {
            let name = state.save_as.trim();
            if name.is_empty() {
                return Err("give the new boat file a name".into());
            }
            let boat = &state.subject().path;
            let folder = boat.parent().unwrap_or(Path::new(""));
            let mut target: PathBuf = folder.join(name);
            if target.extension().is_none() {
                target.set_extension("toml");
            }
            if is_one_of(&target, &state.file().files) {
                return Err("this boat starts from that file; give another name".into());
            }
            let mut extends = named_from(boat, &target).map_err(|error| error.to_string())?;
            if let Some(condition) = &state.edits().condition {
                extends = format!("{extends}#{condition}");
            }
            let text = state.edits().to_toml(state.file(), &extends);
            put_boat(&target, &text, self.force).map_err(|error| error.to_string())?;
            Ok(format!("Saved as {}", target.display()))
        }
    }

    impl From {
        fn seen(self) -> Seen {
            match self {
                Self::Quarter => Seen::Quarter,
                Self::Side => Seen::Side,
                Self::Top => Seen::Top,
                Self::Bow => Seen::Bow,
                Self::Stern => Seen::Stern,
                Self::Below => Seen::Below,
            }
        }
    }

    /// The last moment of the swamping that is no later.
    fn show_after(state: &mut ViewerState, time_s: f64) -> Result<(), CommandError> {
        state.push_it_under();
        state.finish();
        let Some(film) = state.film() else {
            return Err(CommandError::Message(state.message.clone()));
        };
        let lines = film.time_line.iter();
        let later = lines.take_while(|line| line.time_s <= time_s).count();
        state.show_moment(later.saturating_sub(1));
        Ok(())
    }

    fn load(path: &Path) -> Result<Subject, CommandError> {
        Subject::load(path).map_err(|error| match error {
            SubjectError::Boat(error) => CommandError::Boat(error),
            other => told(other),
        })
    }

    fn told(error: impl std::error::Error) -> CommandError {
        CommandError::Message(error.to_string())
    }
}
