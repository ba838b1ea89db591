//! `awash start`
use std::io::{self, BufRead, Write};
use std::path::{Path, PathBuf};

use clap::{Args, Parser};

use super::ask::{Person, Question};
use super::files::{self, Writes, cannot, named_from, put_boat, put_with, refuse_existing};
use super::mend::Steps;
use super::progress::Progress;
use super::{CommandError, Outcome, Output};
use crate::boat::{HULL_LENGTH_M, MeshInMetres};
use crate::equilibrium::Afloat;
use crate::files::Disk;
use crate::mesh::{
    Confidence, HoleKind, MendRecipe, MeshError, Placement, PrepareOptions, Surface, write_stl,
};
use crate::present::{Present, next_steps};
use crate::quantity::{Dimension, Quantity, UnitSystem, show};
use crate::study::{
    AnsweredHole, AnsweredItem, AnsweredOpening, AnsweredState, Answers, ByTape, FromScan,
    HullWeight, InspectResult, MendResult, Next, OpeningLine, first_boat, float, inspect,
    mend_scan, spread,
};

/// Draws that say what is not known costs.
const DRAWS: u32 = 400;

/// Make a boat file from a scan by answering questions
///
/// Looks at the scan, mends it as `awash inspect` proposes, and asks one thing at a time:
/// length by tape, weight by scales, what each opening is, who sits where. Enter or "don't
/// know" is always an answer; what that costs is told. Then writes the mended hull and the
/// boat file and floats it. The scan itself is never changed.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  awash start scan.ply\n  awash start scan.ply --output my-boat.toml"
)]
pub(super) struct Start {
    /// Scan or hull mesh (STL, OBJ, PLY, GLB)
    scan: PathBuf,
    /// Boat file to write; SCAN-boat.toml when not given, the hull beside it
    #[arg(short, long, value_name = "FILE", value_parser = files::boat_file())]
    output: Option<PathBuf>,
}

/// The steps of `mend` as `inspect` writes them.
#[derive(Debug, Parser)]
struct Proposed {
    #[command(flatten)]
    steps: Steps,
}

impl Start {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        let boat_file = self.output.clone().unwrap_or_else(|| {
            let stem = self.scan.file_stem().unwrap_or_default().to_string_lossy();
            self.scan.with_file_name(format!("{stem}-boat.toml"))
        });
        let hull_file = boat_file.with_extension("hull.stl");
        refuse_existing(&boat_file, Writes::Boat, false)?;
        refuse_existing(&hull_file, Writes::Mesh, false)?;
        let mut talk = Talk {
            person: Person {
                input: io::stdin().lock(),
                output: io::stdout().lock(),
            },
            units: output.units,
            not_known: Vec::new(),
        };
        let mut hull = talk.hull(&self.scan, &hull_file)?;
        let mut answers = talk.answers(&self.scan, &hull)?;
        hull.keep_only(&mut answers.openings)?;
        let mesh = named_from(&hull_file, &boat_file)?;
        let text = first_boat(&mesh, &answers, &hull.from_scan(), &talk.not_known);
        put_with(&hull_file, Writes::Mesh, false, |out| {
            write_stl(out, &hull.surface).map_err(|error| match error {
                MeshError::Write(source) => cannot(&hull_file, &source),
                other => other.into(),
            })
        })?;
        put_boat(&boat_file, &text, false)?;
        talk.floats(&boat_file, &hull_file, output)
    }
}

/// A mended hull, not yet written.
struct Hull {
    recipe: MendRecipe,
    result: MendResult,
    surface: Surface,
}

impl Hull {
    /// Mends a scan by a recipe and, where its length is known, to that.
    fn of(
        scan: &Path,
        hull_file: &Path,
        recipe: MendRecipe,
        length_m: Option<f64>,
    ) -> Result<Self, CommandError> {
        let progress = Progress::new();
        progress.say("reading and welding");
        let read = crate::boat::read_mesh(&Disk, scan, None, true)?;
        let placement = Placement {
            scale_to_length_m: length_m,
            ..Placement::default()
        };
        let name = scan.display().to_string();
        let output = hull_file.display().to_string();
        let mended = mend_scan(&name, &output, read, &recipe, &placement, &progress);
        let (result, surface) =
            mended.map_err(|source| CommandError::Message(format!("{name}: {source}")))?;
        Ok(Self {
            recipe,
            result,
            surface,
        })
    }

    /// Fills the openings that are none, and numbers the others anew.
    fn keep_only(&mut self, openings: &mut [AnsweredOpening]) -> Result<(), CommandError> {
        let kept: Vec<usize> = openings.iter().map(|opening| opening.number).collect();
        let all = self.result.openings.len();
        let recipe = MendRecipe {
            fill: (1..=all).filter(|number| !kept.contains(number)).collect(),
            keep: kept.clone(),
            ..MendRecipe::default()
        };
        if recipe.fill.is_empty() {
            return Ok(());
        }
        let read = MeshInMetres {
            surface: std::mem::take(&mut self.surface),
            options: PrepareOptions::default(),
            doubts: Vec::new(),
            unit_guess: None,
            metres_a_unit: Some(1.0),
        };
        let name = self.result.output.clone();
        let place = Placement::default();
        let mended = mend_scan(&name, &name, read, &recipe, &place, &Progress::new());
        let (result, surface) =
            mended.map_err(|source| CommandError::Message(format!("{name}: {source}")))?;
        if result.openings.len() != kept.len() {
            return Err(CommandError::Message(format!(
                "{} holes of the scan could not be filled: use awash mend with --fill, and awash init",
                recipe.fill.len()
            )));
        }
        self.surface = surface;
        let mut number = 0;
        self.result.openings.retain(|_| {
            number += 1;
            kept.contains(&number)
        });
        for (number, opening) in (1..).zip(openings) {
            opening.number = number;
        }
        Ok(())
    }

    fn from_scan(&self) -> FromScan {
        FromScan {
            keeps_small_holes: true,
            ..FromScan::of(&self.result, &self.recipe)
        }
    }

    fn length_m(&self) -> f64 {
        self.result.after.size_m[0]
    }
}

/// A dialogue and what came of it.
struct Talk<I, O> {
    person: Person<I, O>,
    units: UnitSystem,
    /// What was answered with "don't know".
    not_known: Vec<String>,
}

impl<I: BufRead, O: Write> Talk<I, O> {
    /// Looks at the scan, asks for what it cannot show, and mends it.
    fn hull(&mut self, scan: &Path, hull_file: &Path) -> Result<Hull, CommandError> {
        let progress = Progress::new();
        progress.say("reading and welding");
        let read = crate::boat::read_mesh(&Disk, scan, None, true)?;
        let name = scan.display().to_string();
        let seen = inspect(&name, read, &progress);
        drop(progress);
        self.person
            .tell(&format!("{name}: {}", seen.summary(self.units)))?;
        self.person.tell("")?;
        self.person.tell("A question at a time; Enter or \"don't know\" is always an answer, and every line of the boat file can be changed later.")?;
        let recipe = proposed(&seen)?;
        let length_m = self.length(&seen)?;
        let mut hull = Hull::of(scan, hull_file, recipe, length_m)?;
        if self.turns_over(&mut hull)? {
            hull = Hull::of(scan, hull_file, hull.recipe, length_m)?;
        }
        Ok(hull)
    }

    /// The length by tape; `None` where the scan's own stands.
    fn length(&mut self, seen: &InspectResult) -> Result<Option<f64>, CommandError> {
        let scan_m = seen.size_m.into_iter().fold(0.0, f64::max);
        let scan = self.length_of(scan_m);
        let length = self.person.ask(
            &Question {
                asks: &format!("How long is the hull from end to end, by tape? The scan says {scan}, its floor and all that stands round it counted."),
                enter: "don't know, the scan's own size stands",
                help: "Hold the tape level between plumb lines at bow and stern. A scan's unit is often a guess, and a length that is 1 % off makes all volume 3 % wrong.",
            },
            |text| {
                let length = quantity(text, Dimension::Length)?;
                if HULL_LENGTH_M.contains(&length.value) {
                    Ok(length.value)
                } else {
                    Err(format!("{text} is {} m, which no small craft is: give the unit, such as 3400 mm", length.value))
                }
            },
        )?;
        if length.is_none() {
            self.not_known
                .push(format!("the hull's length, {scan} as scanned"));
        }
        Ok(length)
    }

    /// Asks where the way up and the bow were guessed; whether the recipe changed.
    fn turns_over(&mut self, hull: &mut Hull) -> Result<bool, CommandError> {
        let Some(posture) = hull.result.posture.clone() else {
            return Ok(false);
        };
        let mut changed = false;
        for (sure, because, what, is_turned) in [
            (
                posture.up,
                posture.up_because,
                "the side taken as up",
                &mut hull.recipe.upside_down,
            ),
            (
                posture.bow,
                posture.bow_because,
                "the end taken as the bow",
                &mut hull.recipe.swap_ends,
            ),
        ] {
            if sure != Confidence::Guess {
                continue;
            }
            let right = self.person.ask(
                &Question {
                    asks: &format!("A guess: {what} is by this: {because}. Is that right?"),
                    enter: "yes",
                    help: "awash inspect SCAN --svg PICTURE.svg draws the hull as it is taken to lie.",
                },
                yes_or_no,
            )?;
            if right == Some(false) {
                *is_turned = !*is_turned;
                changed = true;
            }
        }
        Ok(changed)
    }

    fn answers(&mut self, scan: &Path, hull: &Hull) -> Result<Answers, CommandError> {
        let stem = scan.file_stem().unwrap_or_default().to_string_lossy();
        let name = self.person.ask(
            &Question {
                asks: "What is the craft called?",
                enter: &stem,
                help: "Any name: it stands over each table.",
            },
            |text| Ok(text.to_owned()),
        )?;
        let water = self.person.ask(
            &Question {
                asks: "Which water: fresh, sea or pool?",
                enter: "fresh, in which it floats deepest",
                help: "Sea water carries about 2.5 % more.",
            },
            |text| one_of(text, &["fresh", "sea", "pool"]),
        )?;
        let weight = self.hull_weight(hull)?;
        let openings = self.openings(hull)?;
        let holes = self.holes()?;
        let items = self.items(hull)?;
        Ok(Answers {
            name: name.unwrap_or_else(|| stem.into_owned()),
            water: water.unwrap_or("fresh"),
            hull: weight,
            openings,
            holes,
            items,
        })
    }

    fn hull_weight(&mut self, hull: &Hull) -> Result<HullWeight, CommandError> {
        let mass = self.person.ask(
            &Question {
                asks: "What does the bare hull weigh? Such as 24 kg, or 24 kg ± 1 kg.",
                enter: "don't know, it is taken by its skin",
                help: "Bathroom scales: you with the hull, less you alone; or a scale under each end, added up. By its skin alone the weight may be a third off, and each kilogram sinks the craft by what `awash slice` tells as mass per millimetre.",
            },
            |text| said(text, Dimension::Mass, 0.0),
        )?;
        let Some(mass) = mass else {
            let seen = hull.result.skin_thickness_m;
            let usual = seen.map_or_else(
                || "4 mm ± 1 mm".to_owned(),
                |thick_m| format!("{:.1} mm ± 1 mm", 1e3 * thick_m),
            );
            let thickness = self.person.ask(
                &Question {
                    asks: "How thick is its skin? Measure at the rim of an opening.",
                    enter: &format!("don't know, {usual}"),
                    help: "Glass-fibre of small hulls is 3 to 6 mm. Its density is taken as 1500 ± 150 kg/m³ (common practice, no source).",
                },
                |text| said(text, Dimension::Length, 0.0),
            )?;
            self.not_known.push(format!(
                "the hull's weight, by a skin of {}: put it on scales",
                thickness.as_deref().unwrap_or(&usual)
            ));
            return Ok(HullWeight::Skin {
                thickness: thickness.unwrap_or(usual),
            });
        };
        let length_m = hull.length_m();
        let balance = self.person.ask(
            &Question {
                asks: "Where does the bare hull balance, measured aft from the stem?",
                enter: "don't know, at the middle of its skin",
                help: "Lay it across a pipe and roll it until neither end drops. With a scale under each end: (reading × its distance from the stem, both added) ÷ (both readings added). Its height is taken as 12 ± 5 cm over the lowest point.",
            },
            |text| said(text, Dimension::Length, length_m),
        )?;
        if balance.is_none() {
            self.not_known
                .push("where the hull balances, the middle of its skin".to_owned());
        }
        Ok(HullWeight::Weighed { mass, balance })
    }

    fn openings(&mut self, hull: &Hull) -> Result<Vec<AnsweredOpening>, CommandError> {
        let all = &hull.result.openings;
        let stem_m = hull.surface.bounds().map_or(0.0, |(_, hi)| hi.x);
        let mut answered: Vec<AnsweredOpening> = Vec::new();
        for (number, opening) in (1..).zip(all) {
            let place = format!(
                "Opening {number} of {}: {} by {}, its middle {} from the stem, its lowest edge {} over the base",
                all.len(),
                self.length_of(opening.long_m),
                self.length_of(opening.broad_m),
                self.length_of(stem_m - opening.middle_m[0]),
                self.length_of(opening.lowest_m[2]),
            );
            let usual = usual_state(opening);
            let state = self.person.ask(
                &Question {
                    asks: &format!(
                        "{place}. By its looks: {}. How does it stand: open, covered, drain, vent, or scan hole (filled)?",
                        opening.probably.words()
                    ),
                    enter: usual,
                    help: "\"covered\" is a hatch or spray deck that keeps water out. What is left open counts as a way in.",
                },
                |text| one_of(text, &["open", "covered", "drain", "vent", "scan hole"]),
            )?;
            let state = match state.unwrap_or(usual) {
                "covered" => AnsweredState::Covered,
                "vent" => AnsweredState::Vent,
                "drain" => self.drain()?,
                "scan hole" => continue,
                _ => AnsweredState::Open,
            };
            let usual = unlike(opening.probably.words(), &answered);
            let name = self.person.ask(
                &Question {
                    asks: "Its name?",
                    enter: &usual,
                    help: "It stands in every table.",
                },
                |text| Ok(text.to_owned()),
            )?;
            answered.push(AnsweredOpening {
                number,
                name: name.unwrap_or(usual),
                state,
            });
        }
        Ok(answered)
    }

    fn drain(&mut self) -> Result<AnsweredState, CommandError> {
        let plug = self.person.ask(
            &Question {
                asks: "Is its plug in?",
                enter: "no",
                help: "An open drain under water fills the hull.",
            },
            yes_or_no,
        )?;
        Ok(AnsweredState::Drain(plug == Some(true)))
    }

    fn holes(&mut self) -> Result<Vec<AnsweredHole>, CommandError> {
        let mut holes = Vec::new();
        loop {
            let name = self.person.ask(
                &Question {
                    asks: "Is there a hole that the scan does not show, drilled or planned, such as for a cable? Its name:",
                    enter: "no more",
                    help: "Every hole that is not named is taken as not there.",
                },
                |text| Ok(text.to_owned()),
            )?;
            let Some(name) = name else { return Ok(holes) };
            let lowest = self.place(&format!("the lowest point of {name}"), None)?;
            holes.push(AnsweredHole {
                name,
                lowest,
                state: AnsweredState::Open,
            });
        }
    }

    fn items(&mut self, hull: &Hull) -> Result<Vec<AnsweredItem>, CommandError> {
        let middle_m = hull.length_m() / 2.0;
        let usual = ByTape {
            from_stem: format!("{middle_m:.2} m ± 15 cm"),
            from_middle: "0 cm ± 3 cm".to_owned(),
            over_base: "30 cm ± 8 cm".to_owned(),
        };
        let mut items: Vec<AnsweredItem> = Vec::new();
        loop {
            let number = items.len() + 1;
            let first = items.is_empty();
            let mass = self.person.ask(
                &Question {
                    asks: &if first {
                        "Who rides? The weight of the first person, dressed as afloat:".to_owned()
                    } else {
                        format!("The weight of person {number}:")
                    },
                    enter: if first {
                        "don't know, 80 kg ± 10 kg"
                    } else {
                        "nobody else"
                    },
                    help: "A wetsuit and its belt weigh too. 0 kg means nobody rides.",
                },
                |text| said(text, Dimension::Mass, 0.0),
            )?;
            let mass = match mass {
                Some(mass) if quantity(&mass, Dimension::Mass).is_ok_and(|q| q.value == 0.0) => {
                    break;
                }
                Some(mass) => mass,
                None if first => {
                    self.not_known
                        .push("the rider's weight, 80 kg ± 10 kg".to_owned());
                    "80 kg ± 10 kg".to_owned()
                }
                None => break,
            };
            let name = if first {
                "rider".to_owned()
            } else {
                format!("rider {number}")
            };
            let at = self.place(
                &format!("{name}'s middle (the navel, seated)"),
                Some(&usual),
            )?;
            items.push(AnsweredItem {
                name,
                mass,
                at,
                person: true,
            });
        }
        loop {
            let name = self.person.ask(
                &Question {
                    asks: "What else goes aboard, such as a battery? Its name:",
                    enter: "nothing more",
                    help: "Motor, battery, cylinder, lead, anchor, fuel. What is not named is taken as not there.",
                },
                |text| Ok(text.to_owned()),
            )?;
            let Some(name) = name else { return Ok(items) };
            let mass = self.weight_of(&name)?;
            let at = self.place(&format!("the middle of {name}"), Some(&usual))?;
            items.push(AnsweredItem {
                name,
                mass,
                at,
                person: false,
            });
        }
    }

    fn weight_of(&mut self, name: &str) -> Result<String, CommandError> {
        loop {
            let mass = self.person.ask(
                &Question {
                    asks: &format!("What does {name} weigh?"),
                    enter: "asks again",
                    help: "Kitchen or bathroom scales, or its label. Not sure: give a range, such as 10 kg ± 4 kg.",
                },
                |text| said(text, Dimension::Mass, 0.0),
            )?;
            match mass {
                Some(mass) => return Ok(mass),
                None => self
                    .person
                    .tell("A guess with a wide ± will do, such as 10 kg ± 4 kg.")?,
            }
        }
    }

    /// A place by three tape readings; what is not known is as usual.
    fn place(&mut self, of: &str, usual: Option<&ByTape>) -> Result<ByTape, CommandError> {
        let mut one = |asks: String,
                       help: &str,
                       usual: Option<&String>,
                       read: &dyn Fn(&str) -> Result<String, String>| loop {
            let enter = usual.map_or_else(
                || "asks again".to_owned(),
                |usual| format!("don't know, {usual}"),
            );
            let question = Question {
                asks: &asks,
                enter: &enter,
                help,
            };
            match (self.person.ask(&question, read)?, usual) {
                (Some(reading), _) => return Ok::<String, CommandError>(reading),
                (None, Some(usual)) => {
                    let plain = asks
                        .split_once('?')
                        .map_or(asks.as_str(), |(plain, _)| plain);
                    self.not_known
                        .push(format!("{}: {usual}", decapitalised(plain)));
                    return Ok(usual.clone());
                }
                (None, None) => {}
            }
        };
        Ok(ByTape {
            from_stem: one(
                format!("How far aft of the stem is {of}?"),
                "Along the boat, level, from the foremost point of the hull.",
                usual.map(|u| &u.from_stem),
                &|text| said(text, Dimension::Length, 0.0),
            )?,
            from_middle: one(
                format!("How far from the middle is {of}? Such as 0, 20 cm port, 12 cm starboard."),
                "Across, level, from the middle of the boat. Port is left, facing the bow.",
                usual.map(|u| &u.from_middle),
                &sideways,
            )?,
            over_base: one(
                format!("How high over the hull's lowest point is {of}?"),
                "Straight up from a level floor that the hull stands on.",
                usual.map(|u| &u.over_base),
                &|text| said(text, Dimension::Length, 0.0),
            )?,
        })
    }

    fn length_of(&self, m: f64) -> String {
        show(m, Dimension::Length, self.units)
    }

    /// Floats it, and tells what is not known costs.
    fn floats(
        &mut self,
        boat_file: &Path,
        hull_file: &Path,
        output: &Output,
    ) -> Result<Outcome, CommandError> {
        self.person.tell("")?;
        self.person.tell(&format!(
            "Written: {} and {}.",
            boat_file.display(),
            hull_file.display()
        ))?;
        self.person.tell("")?;
        let boat = output.load_floating(boat_file)?;
        let of_rest = |source| CommandError::of_rest(boat_file, &boat, source);
        let afloat = Afloat::of(&boat);
        let result = float(&afloat).map_err(of_rest)?;
        output.print(&result)?;
        if !self.not_known.is_empty()
            && let Ok(found) = spread(&afloat, DRAWS, 1)
        {
            self.person.tell("")?;
            self.person
                .tell("What you did not know, and what that costs:")?;
            for what in &self.not_known {
                self.person.tell(&format!("- {what}"))?;
            }
            self.person.tell(&found.summary(self.units))?;
        }
        let file = boat_file.display();
        self.person.tell("")?;
        self.person.tell(&format!("Next: awash margins {file} tells how small a lean or knock floods it; awash drill {file} where a hole may go. Nothing here clears a craft for use: try it empty, in shallow calm water, with help at hand."))?;
        Ok(if result.fails_a_yardstick() {
            Outcome::YardstickFailed
        } else {
            Outcome::Fine
        })
    }
}

/// The mending that `inspect` proposes.
fn proposed(seen: &InspectResult) -> Result<MendRecipe, CommandError> {
    if seen.next.contains(&Next::MendInAnEditor) {
        return Err(CommandError::Message(format!(
            "{}: {}",
            seen.name,
            next_steps(seen).join("; ")
        )));
    }
    let steps = seen.next.iter().find_map(|next| match next {
        Next::Mend(steps) => Some(steps.clone()),
        _ => None,
    });
    let arguments = std::iter::once("mend").chain(steps.unwrap_or_default());
    let read = Proposed::try_parse_from(arguments.flat_map(str::split_whitespace));
    let read = read.map_err(|error| CommandError::Message(error.to_string()))?;
    Ok(read.steps.recipe())
}

/// How an opening most likely stands.
fn usual_state(opening: &OpeningLine) -> &'static str {
    match opening.probably {
        HoleKind::Drain => "drain",
        HoleKind::ScanHole => "scan hole",
        _ => "open",
    }
}

/// A name that no opening has yet.
fn unlike(name: &str, others: &[AnsweredOpening]) -> String {
    let is_free = |name: &String| others.iter().all(|other| other.name != *name);
    let numbered = (2..).map(|number| format!("{name} {number}"));
    let mut names = std::iter::once(name.to_owned()).chain(numbered);
    names.find(is_free).unwrap_or_default()
}

fn quantity(text: &str, dimension: Dimension) -> Result<Quantity, String> {
    Quantity::parse(text, dimension).map_err(|error| error.to_string())
}

/// A quantity as it was typed, not negative, at most so much where that is not zero.
fn said(text: &str, dimension: Dimension, most: f64) -> Result<String, String> {
    let read = quantity(text, dimension)?;
    if read.value < 0.0 {
        Err(format!("{text} is negative"))
    } else if most > 0.0 && read.value > most {
        Err(format!("{text} is past the other end of the hull"))
    } else {
        Ok(text.to_owned())
    }
}

/// A distance to one side: 0, "20 cm port", "12 cm starboard".
fn sideways(text: &str) -> Result<String, String> {
    let plain = text.trim();
    let length = ["port", "starboard"]
        .iter()
        .find_map(|side| plain.strip_suffix(side));
    let read = quantity(length.unwrap_or(plain).trim(), Dimension::Length)?;
    if length.is_none() && read.value != 0.0 {
        return Err("say to which side: port is left, facing the bow".to_owned());
    }
    Ok(plain.to_owned())
}

fn one_of(text: &str, words: &[&'static str]) -> Result<&'static str, String> {
    let asked = text.trim().to_lowercase();
    let mut found = words.iter().filter(|word| word.starts_with(&asked));
    match (found.next(), found.next()) {
        (Some(word), None) => Ok(word),
        _ => Err(format!("one of: {}", words.join(", "))),
    }
}

/// A question's words as they stand within a sentence.
fn decapitalised(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|c| c.to_lowercase().to_string());
    first.unwrap_or_default() + letters.as_str()
}

fn yes_or_no(text: &str) -> Result<bool, String> {
    Ok(one_of(text, &["yes", "no"])? == "yes")
}
