//! `awash view`
use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::files;
use super::swamp::{From as SwampFrom, flow_m3_s, time_s, volume_m3};
use super::{CommandError, Outcome, Output, angle_deg, length_m};
/// See the boat on the water: where it meets each opening, and what moves it
///
/// Opens a window in which holes are cut, parts built on and things put aboard
/// by clicks, the boat held at a heel, pitch or sinkage and let float again,
/// sections cut and the swamping played; every number comes from the same kernel
/// as the tables. A scan opens with the steps that mend it. H shows what keys and
/// mouse do. With --snapshot it draws a picture and needs no display.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  awash view meshes/dipper/after.toml meshes/dipper/asfitted.toml\n  awash view meshes/dipper/after.toml --snapshot side.png --view side --heel 8\n\nNeeds awash installed with its viewer: cargo install --path . --features viewer"
)]
pub(super) struct View {
    /// Boat file (TOML), or a scan (STL, OBJ, PLY, GLB)
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

    use super::super::files::{
        Writes, cannot, is_one_of, named_from, put, put_boat, put_with, refuse_existing,
    };
    use super::{CommandError, From, Outcome, Output, PathBuf, View};
    use crate::boat::read_mesh;
    use crate::equilibrium::Afloat;
    use crate::files::Disk;
    use crate::host::today;
    use crate::mesh::{is_named_like_a_mesh, write_mended_stl};
    use crate::present::report_html;
    use crate::study::{MendResult, report, starting_file};
    use crate::viewer::{
        Attitude, Before, Desk, Job, NotSaved, Opened, ScanState, SectionPlane, Subject,
        SubjectError, View as Seen, ViewerState, picture_png, run_window,
    };

    impl View {
        pub(in crate::cli) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
            if let Some(target) = &self.snapshot {
                refuse_existing(target, Writes::Page, self.force)?;
            }
            let mut desk = Beside { force: self.force };
            if self.snapshot.is_none() && is_named_like_a_mesh(&self.boat) {
                let scan = ScanState::open(&self.boat)?;
                let first = Opened::Scan(Box::new(scan));
                run_window(first, self.view.seen(), &mut desk).map_err(told)?;
                return Ok(Outcome::Fine);
            }
            let mut state = self.state()?;
            state.units = output.units;
            let Some(target) = &self.snapshot else {
                let first = Opened::Boat(Box::new(state));
                run_window(first, self.view.seen(), &mut desk).map_err(told)?;
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
    }

    /// Files beside the boat's own.
    struct Beside {
        force: bool,
    }

    impl Beside {
        /// A file beside the boat's, by a name and an ending where that has none.
        fn target(state: &ViewerState, name: &str, ending: &str) -> PathBuf {
            let folder = state.subject().path.parent().unwrap_or(Path::new(""));
            let mut target = folder.join(name);
            if target.extension().is_none() {
                target.set_extension(ending);
            }
            target
        }

        /// Where an old file of that name is kept: the first that is free.
        fn kept(target: &Path) -> PathBuf {
            let stem = target.file_stem().unwrap_or_default().to_string_lossy();
            let named = |number: u32| match number {
                1 => target.with_file_name(format!("{stem}-old.toml")),
                _ => target.with_file_name(format!("{stem}-old{number}.toml")),
            };
            let free = (1..).map(named).find(|path| !path.exists());
            free.unwrap_or_else(|| target.to_owned())
        }
    }

    impl Desk for Beside {
        fn save(&mut self, state: &ViewerState, replace: bool) -> Result<String, NotSaved> {
            let because = |error: CommandError| NotSaved::Because(error.to_string());
            let name = state.save_as.trim();
            if name.is_empty() {
                return Err(NotSaved::Because("give the new boat file a name".into()));
            }
            let boat = &state.subject().path;
            let target = Self::target(state, name, "toml");
            if is_one_of(&target, &state.file().files) {
                let why = "this boat starts from that file; give another name";
                return Err(NotSaved::Because(why.into()));
            }
            let mut extends = named_from(boat, &target).map_err(because)?;
            if let Some(condition) = &state.edits().condition {
                extends = format!("{extends}#{condition}");
            }
            let text = state.edits().to_toml(state.file(), &extends) + &shown(state);
            let mut done = format!("Saved as {}", target.display());
            if target.exists() && !self.force {
                if !replace {
                    let what = format!("{} is already there.", target.display());
                    return Err(NotSaved::InTheWay(what));
                }
                refuse_existing(&target, Writes::Boat, true).map_err(because)?;
                let kept = Self::kept(&target);
                std::fs::copy(&target, &kept).map_err(|error| because(cannot(&kept, &error)))?;
                done = format!("{done}; the old one is kept as {}", kept.display());
            }
            put_boat(&target, &text, self.force || replace).map_err(because)?;
            Ok(done)
        }

        fn put_picture(&mut self, state: &ViewerState, png: &[u8]) -> Result<String, String> {
            let stem = Path::new(state.save_as.trim()).file_stem();
            let stem = stem.unwrap_or_default().to_string_lossy().into_owned();
            let mut names = (1_u32..).map(|number| format!("{stem}-{number}.png"));
            let free = names.find_map(|name| {
                let target = Self::target(state, &name, "png");
                (!target.exists()).then_some(target)
            });
            let target = free.unwrap_or_default();
            put(&target, png, false).map_err(|error| error.to_string())?;
            Ok(format!("Picture saved as {}", target.display()))
        }

        fn report(&mut self, state: &ViewerState) -> Job {
            let name = Path::new(state.save_as.trim()).with_extension("html");
            let target = Self::target(state, &name.to_string_lossy(), "html");
            let (subject, edits) = (state.subject().clone(), state.edits().clone());
            let (units, force) = (state.units, self.force);
            Box::new(move || {
                let told = |error: &dyn std::fmt::Display| error.to_string();
                refuse_existing(&target, Writes::Page, force).map_err(|e| told(&e))?;
                let boat = subject.as_edited(&edits).map_err(|e| told(&e))?.boat;
                let mut result = report(Afloat::of(&boat), None).map_err(|e| told(&e))?;
                result.made_on = today();
                let page = report_html(&result, units);
                put(&target, page.as_bytes(), force).map_err(|e| told(&e))?;
                Ok(format!("Report written: {}", target.display()))
            })
        }

        fn open(&mut self, path: &Path) -> Result<Opened, String> {
            if is_named_like_a_mesh(path) {
                let scan = ScanState::open(path).map_err(|error| error.to_string())?;
                return Ok(Opened::Scan(Box::new(scan)));
            }
            let subject = Subject::load(path).map_err(|error| error.to_string())?;
            Ok(Opened::Boat(Box::new(ViewerState::new(subject, None))))
        }

        fn keep_hull(&mut self, scan: &ScanState) -> Result<PathBuf, String> {
            let told = |error: &dyn std::fmt::Display| error.to_string();
            let boat = scan.path.with_extension("toml");
            let stem = scan.path.file_stem().unwrap_or_default().to_string_lossy();
            let hull = scan.path.with_file_name(format!("{stem}-hull.stl"));
            refuse_existing(&hull, Writes::Mesh, self.force).map_err(|e| told(&e))?;
            refuse_existing(&boat, Writes::Boat, self.force).map_err(|e| told(&e))?;
            let now = &scan.now;
            let carried = now.result.as_ref().and_then(MendResult::carried);
            put_with(&hull, Writes::Mesh, self.force, |out| {
                write_mended_stl(out, &now.surface, carried.as_ref()).map_err(Into::into)
            })
            .map_err(|e| told(&e))?;
            let named = named_from(&hull, &boat).map_err(|e| told(&e))?;
            let read = read_mesh(&Disk, &hull, Some(1.0), false).map_err(|e| told(&e))?;
            let file = boat.display().to_string();
            let start = starting_file(&named, &file, read, &now.from_scan());
            let text = start.map_err(|e| told(&e))?.text;
            put_boat(&boat, &text, self.force).map_err(|e| told(&e))?;
            Ok(boat)
        }

        fn list(&mut self, folder: &Path) -> Vec<PathBuf> {
            let here = if folder == Path::new("") {
                Path::new(".")
            } else {
                folder
            };
            let Ok(entries) = std::fs::read_dir(here) else {
                return Vec::new();
            };
            let mut paths: Vec<PathBuf> = entries
                .flatten()
                .map(|entry| entry.path())
                .filter(|path| path.is_dir() || can_be_opened(path))
                .collect();
            paths.sort_by_key(|path| (!path.is_dir(), path.clone()));
            paths
        }
    }

    /// What the window showed, in full, to hold a later `awash float` to.
    fn shown(state: &ViewerState) -> String {
        if state.attitude() != Attitude::Afloat || state.is_busy() {
            return String::new();
        }
        let readings = state.readings();
        let plane = &readings.plane;
        let of_all = [
            ("mass_kg", readings.mass_kg),
            ("heel_deg", plane.heel_deg()),
            ("pitch_deg", plane.pitch_deg()),
        ];
        let openings = readings.openings.iter();
        let openings = openings.filter_map(|o| Some((o.name.as_str(), o.freeboard_m?)));
        let lines = of_all.into_iter().chain(openings);
        let lines = lines.map(|(name, value)| format!("# shown: {name} = {value:?}\n"));
        format!(
            "\n# What the window showed: mass, attitude, and each sill above the water, m.\n{}",
            lines.collect::<String>()
        )
    }

    fn can_be_opened(path: &Path) -> bool {
        is_named_like_a_mesh(path) || path.extension().is_some_and(|ending| ending == "toml")
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
