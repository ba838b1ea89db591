//! The questions of `awash start`.
use std::io::{BufRead, Write};
use std::path::Path;

use super::super::CommandError;
use super::super::ask::{NO_MORE, NOTHING_MORE, Person, Question};
use super::super::progress::Progress;
use super::hull::{Hull, proposed};
use super::read::{is_nothing, length, length_m, mass, one_of, sideways, yes_or_no};
use crate::boat::HULL_LENGTH_M;
use crate::files::Disk;
use crate::mesh::{Confidence, HoleKind};
use crate::present::Present;
use crate::quantity::{Dimension, UnitSystem, show};
use crate::study::{
    AnsweredHole, AnsweredItem, AnsweredOpening, AnsweredState, Answers, ByTape, HullWeight,
    InspectResult, OpeningLine, inspect,
};

/// Heavier than this nobody is, nothing is that a small craft carries, kg.
const HEAVIEST_PERSON_KG: f64 = 300.0;
const HEAVIEST_THING_KG: f64 = 1000.0;
/// How far a thing may stand over the hull or past its ends, m: a rider's middle, a motor.
const PAST_HULL_M: f64 = 1.5;

/// A dialogue and what came of it.
pub(super) struct Talk<I, O> {
    pub(super) person: Person<I, O>,
    units: UnitSystem,
    /// What was answered with "don't know", and what was taken.
    pub(super) not_known: Vec<String>,
}

impl<I: BufRead, O: Write> Talk<I, O> {
    pub(super) fn new(person: Person<I, O>, units: UnitSystem) -> Self {
        Self {
            person,
            units,
            not_known: Vec::new(),
        }
    }

    /// Looks at the scan, asks for what it cannot show, and mends it.
    pub(super) fn hull(&mut self, scan: &Path, hull_file: &Path) -> Result<Hull, CommandError> {
        let progress = Progress::new();
        progress.say("reading and welding");
        let read = crate::boat::read_mesh(&Disk, scan, None, true)?;
        let name = scan.display().to_string();
        let seen = inspect(&name, read, &progress);
        drop(progress);
        let recipe = proposed(&seen)?;
        let summary = seen.summary(self.units);
        self.person.tell(&format!("{name}: {summary}\n\nOne question at a time. Enter or \"don't know\" is always an answer, and every line of the boat file can be changed later."))?;
        let length_m = self.length(&seen)?;
        let mut hull = Hull::of(scan, hull_file, recipe, length_m)?;
        if self.turns_over(&mut hull)? {
            let recipe = hull.recipe.clone();
            hull = Hull::of(scan, hull_file, recipe, length_m)?;
        }
        if length_m.is_none() {
            let found = self.shown(hull.size_m()[0]);
            self.not_known
                .push(format!("the hull's length: {found}, as scanned"));
        }
        Ok(hull)
    }

    /// The length by tape; `None` where the scan's own stands.
    fn length(&mut self, seen: &InspectResult) -> Result<Option<f64>, CommandError> {
        let scan = self.shown(seen.size_m.into_iter().fold(0.0, f64::max));
        self.person.ask(
            &Question {
                asks: &format!("How long is the hull from end to end, by tape? The scan is {scan} long, with any floor and clutter in it."),
                enter: "don't know, the scan's own size stands",
                help: "Hold the tape level between plumb lines at bow and stern. A scan's unit is often a guess, and a length that is 1 % off makes all volume 3 % wrong.",
            },
            |text| length_m(text, &HULL_LENGTH_M),
        )
    }

    /// Asks where the way up and the bow were guessed; whether the recipe changed.
    fn turns_over(&mut self, hull: &mut Hull) -> Result<bool, CommandError> {
        let Some(posture) = hull.result.posture.clone() else {
            return Ok(false);
        };
        let largest = hull
            .result
            .openings
            .first()
            .map_or_else(String::new, |opening| {
                let from_bow = self.shown(hull.stem_m() - opening.middle_m[0]);
                format!(" The middle of its largest opening is {from_bow} from that end.")
            });
        let mut changed = false;
        for (sure, because, what, more, is_turned) in [
            (
                posture.up,
                posture.up_because,
                "Which side is up",
                "",
                &mut hull.recipe.upside_down,
            ),
            (
                posture.bow,
                posture.bow_because,
                "Which end is the bow",
                largest.as_str(),
                &mut hull.recipe.swap_ends,
            ),
        ] {
            if sure != Confidence::Guess {
                continue;
            }
            let right = self.person.ask(
                &Question {
                    asks: &format!("{what} is a guess: {because}.{more} Is that right?"),
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

    pub(super) fn answers(&mut self, scan: &Path, hull: &Hull) -> Result<Answers, CommandError> {
        let stem = scan.file_stem().unwrap_or_default().to_string_lossy();
        let name = self.name("What is the craft called?", &stem, &[])?;
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
        let holes = self.holes(hull, &openings)?;
        let items = self.items(hull)?;
        Ok(Answers {
            name,
            water: water.unwrap_or("fresh"),
            hull: weight,
            openings,
            holes,
            items,
        })
    }

    /// A name that no other has yet; Enter takes the usual one.
    fn name(&mut self, asks: &str, usual: &str, taken: &[String]) -> Result<String, CommandError> {
        let question = Question {
            asks,
            enter: usual,
            help: "Any name; it is used in every table.",
        };
        let name = self.person.ask(&question, |text| unlike_all(text, taken))?;
        Ok(name.unwrap_or_else(|| usual.to_owned()))
    }

    fn hull_weight(&mut self, hull: &Hull) -> Result<HullWeight, CommandError> {
        let weight = self.person.ask(
            &Question {
                asks: "What does the bare hull weigh? Such as 24 kg ± 1 kg, or 53 lb.",
                enter: "don't know, it is worked out from its skin",
                help: "Bathroom scales: you with the hull, less you alone; or a scale under each end, added up. By its skin alone the weight may be a third off.",
            },
            |text| mass(text, HEAVIEST_THING_KG),
        )?;
        let Some(weight) = weight else {
            let seen = hull.result.skin_thickness_m;
            let usual = seen.map_or_else(
                || "4 mm ± 1 mm".to_owned(),
                |thick_m| format!("{:.1} mm ± 1 mm", 1e3 * thick_m),
            );
            let thickness = self.person.ask(
                &Question {
                    asks: "How thick is its skin? Measure at the rim of an opening.",
                    enter: &format!("don't know, {usual}"),
                    help: "Glass-fibre of small hulls is 3 to 6 mm thick. Its density is taken as 1500 ± 150 kg/m³ (common practice, no source).",
                },
                |text| length(text, 0.05, "a skin is at most"),
            )?;
            let thickness = thickness.unwrap_or(usual);
            self.not_known.push(format!(
                "the hull's weight: by a skin of {thickness}; put it on scales"
            ));
            return Ok(HullWeight::Skin { thickness });
        };
        let most_m = hull.size_m()[0];
        let balance = self.person.ask(
            &Question {
                asks: "Where does the bare hull balance, measured aft from the stem?",
                enter: "don't know, at the middle of its skin",
                help: "Lay it across a pipe and roll it until neither end drops. With a scale under each end: (reading × its distance from the stem, both added) ÷ (both readings added).",
            },
            |text| length(text, most_m, "the hull's length is"),
        )?;
        self.not_known.push(match &balance {
            None => "where the hull balances: at the middle of its skin".to_owned(),
            Some(_) => {
                "how high the hull's weight lies: 12 cm ± 5 cm above its lowest point".to_owned()
            }
        });
        Ok(HullWeight::Weighed {
            mass: weight,
            balance,
        })
    }

    fn openings(&mut self, hull: &Hull) -> Result<Vec<AnsweredOpening>, CommandError> {
        let all = &hull.result.openings;
        let mut answered: Vec<AnsweredOpening> = Vec::new();
        for (number, opening) in (1..).zip(all) {
            let size = format!(
                "{} by {}",
                self.shown(opening.long_m),
                self.shown(opening.broad_m)
            );
            let asks = format!(
                "Opening {number} of {}: {size}, its middle {} from the stem, its lowest edge {} above the hull's lowest point. By its looks: {}. Is it open, covered, a drain, a vent, or a hole in the scan (to be filled)?",
                all.len(),
                self.shown(hull.stem_m() - opening.middle_m[0]),
                self.shown(opening.lowest_m[2]),
                opening.probably.words()
            );
            let words = ["open", "covered", "drain", "vent", "hole in the scan"];
            let Some(state) = self.state(&asks, &words, usual_state(opening))? else {
                self.not_known.push(format!(
                    "opening {number} ({size}): filled as a hole in the scan"
                ));
                continue;
            };
            let taken: Vec<String> = answered.iter().map(|other| other.name.clone()).collect();
            let usual = numbered(opening.probably.words(), &taken);
            let name = self.name("Its name?", &usual, &taken)?;
            answered.push(AnsweredOpening {
                number,
                name,
                state,
            });
        }
        Ok(answered)
    }

    /// How an opening stands; `None` for one that is a hole in the scan.
    fn state(
        &mut self,
        asks: &str,
        words: &[&'static str],
        usual: &'static str,
    ) -> Result<Option<AnsweredState>, CommandError> {
        let state = self.person.ask(
            &Question {
                asks,
                enter: usual,
                help: "\"covered\" is a hatch or spray deck that keeps water out. What is open counts as a way in.",
            },
            |text| one_of(text, words),
        )?;
        Ok(match state.unwrap_or(usual) {
            "covered" => Some(AnsweredState::Covered),
            "vent" => Some(AnsweredState::Vent),
            "drain" => {
                let plug = self.person.ask(
                    &Question {
                        asks: "Is its plug in?",
                        enter: "no",
                        help: "An open drain under water fills the hull.",
                    },
                    yes_or_no,
                )?;
                Some(AnsweredState::Drain(plug == Some(true)))
            }
            "open" => Some(AnsweredState::Open),
            _ => None,
        })
    }

    fn holes(
        &mut self,
        hull: &Hull,
        openings: &[AnsweredOpening],
    ) -> Result<Vec<AnsweredHole>, CommandError> {
        let mut holes: Vec<AnsweredHole> = Vec::new();
        loop {
            let of_mesh = openings.iter().map(|opening| opening.name.clone());
            let taken: Vec<String> = of_mesh
                .chain(holes.iter().map(|h| h.name.clone()))
                .collect();
            let name = self.person.ask(
                &Question {
                    asks: "Is there a hole that the scan does not show, drilled or planned, such as for a cable? Its name:",
                    enter: NO_MORE,
                    help: "Every hole that is not named is taken as not there.",
                },
                |text| unlike_all(text, &taken),
            )?;
            let Some(name) = name else { return Ok(holes) };
            let asks = format!("Is {name} open, covered, a drain or a vent?");
            let state = self.state(&asks, &["open", "covered", "drain", "vent"], "open")?;
            let lowest = self.place(hull, &format!("the lowest point of {name}"), 0.0, None)?;
            match (lowest, state) {
                (Some(lowest), Some(state)) => holes.push(AnsweredHole {
                    name,
                    lowest,
                    state,
                }),
                _ => self.left_out(&name)?,
            }
        }
    }

    fn left_out(&mut self, name: &str) -> Result<(), CommandError> {
        self.not_known.push(format!(
            "{name}: LEFT OUT, since its place or weight is not known"
        ));
        self.person.tell(&format!("{name} is left out."))
    }

    fn items(&mut self, hull: &Hull) -> Result<Vec<AnsweredItem>, CommandError> {
        let usual = ByTape {
            from_stem: format!("{:.2} m ± 15 cm", hull.size_m()[0] / 2.0),
            from_middle: "0 cm ± 3 cm".to_owned(),
            over_base: "30 cm ± 8 cm".to_owned(),
        };
        let mut items = self.riders(hull, &usual)?;
        loop {
            let taken: Vec<String> = items.iter().map(|item| item.name.clone()).collect();
            let name = self.person.ask(
                &Question {
                    asks: "What else goes aboard, such as a battery? Its name:",
                    enter: NOTHING_MORE,
                    help: "Motor, battery, cylinder, lead, anchor, fuel. What is not named is taken as not there.",
                },
                |text| unlike_all(text, &taken),
            )?;
            let Some(name) = name else { return Ok(items) };
            let weight = self.person.ask(
                &Question {
                    asks: &format!("What does {name} weigh?"),
                    enter: "don't know, it is left out",
                    help: "Kitchen or bathroom scales, or its label. Not sure: a guess with a wide ±, such as 10 kg ± 4 kg.",
                },
                |text| mass(text, HEAVIEST_THING_KG),
            )?;
            let at = match weight {
                Some(_) => self.place(
                    hull,
                    &format!("the middle of {name}"),
                    PAST_HULL_M,
                    Some(&usual),
                )?,
                None => None,
            };
            match (weight, at) {
                (Some(mass), Some(at)) => items.push(AnsweredItem {
                    name,
                    mass,
                    at,
                    person: false,
                }),
                _ => self.left_out(&name)?,
            }
        }
    }

    fn riders(&mut self, hull: &Hull, usual: &ByTape) -> Result<Vec<AnsweredItem>, CommandError> {
        const USUAL: &str = "80 kg ± 10 kg";
        let mut riders: Vec<AnsweredItem> = Vec::new();
        loop {
            let number = riders.len() + 1;
            let first = riders.is_empty();
            let asks = if first {
                "Who rides? The weight of the first person, dressed as afloat:".to_owned()
            } else {
                format!("The weight of person {number}:")
            };
            let question = Question {
                asks: &asks,
                enter: if first {
                    "don't know, 80 kg ± 10 kg"
                } else {
                    "nobody else"
                },
                help: "A wetsuit and its belt weigh too. 0 means nobody rides.",
            };
            let weight = self
                .person
                .ask(&question, |text| mass(text, HEAVIEST_PERSON_KG))?;
            let weight = match weight {
                Some(weight) if is_nothing(&weight) => return Ok(riders),
                Some(weight) => weight,
                None if first => {
                    self.not_known.push(format!("the rider's weight: {USUAL}"));
                    USUAL.to_owned()
                }
                None => return Ok(riders),
            };
            let name = if first {
                "rider".to_owned()
            } else {
                format!("rider {number}")
            };
            let of = format!("{name}'s middle (the navel, seated)");
            if let Some(at) = self.place(hull, &of, PAST_HULL_M, Some(usual))? {
                riders.push(AnsweredItem {
                    name,
                    mass: weight,
                    at,
                    person: true,
                });
            }
        }
    }

    /// A place by three tape readings, at most so far past the hull. What is not known is as
    /// usual; `None` where nothing is usual.
    fn place(
        &mut self,
        hull: &Hull,
        of: &str,
        past_m: f64,
        usual: Option<&ByTape>,
    ) -> Result<Option<ByTape>, CommandError> {
        let [long_m, broad_m, high_m] = hull.size_m();
        let along = |text: &str| {
            length(
                text,
                long_m + past_m,
                "with the hull's length it is at most",
            )
        };
        let across = |text: &str| sideways(text, broad_m / 2.0 + past_m);
        let up = |text: &str| {
            length(
                text,
                high_m + past_m,
                "with the hull's height it is at most",
            )
        };
        let from_stem = self.reading(
            &format!("How far aft of the stem is {of}?"),
            "Along the boat, level, from the foremost point of the hull.",
            usual.map(|usual| usual.from_stem.as_str()),
            along,
        )?;
        let Some(from_stem) = from_stem else {
            return Ok(None);
        };
        let from_middle = self.reading(
            &format!("How far from the middle is {of}? Such as 0, 20 cm port, 12 cm starboard."),
            "Across, level, from the middle of the boat. Port is left, facing the bow.",
            usual.map(|usual| usual.from_middle.as_str()),
            across,
        )?;
        let Some(from_middle) = from_middle else {
            return Ok(None);
        };
        let over_base = self.reading(
            &format!("How high above the hull's lowest point is {of}?"),
            "Straight up from a level floor that the hull stands on.",
            usual.map(|usual| usual.over_base.as_str()),
            up,
        )?;
        Ok(over_base.map(|over_base| ByTape {
            from_stem,
            from_middle,
            over_base,
        }))
    }

    fn reading(
        &mut self,
        asks: &str,
        help: &str,
        usual: Option<&str>,
        read: impl Fn(&str) -> Result<String, String>,
    ) -> Result<Option<String>, CommandError> {
        let enter = usual.map_or_else(
            || "don't know, it is left out".to_owned(),
            |usual| format!("don't know, {usual}"),
        );
        let question = Question {
            asks,
            enter: &enter,
            help,
        };
        if let Some(reading) = self.person.ask(&question, read)? {
            return Ok(Some(reading));
        }
        if let Some(usual) = usual {
            let plain = asks.split_once('?').map_or(asks, |(plain, _)| plain);
            self.not_known.push(format!("{plain}: {usual}"));
        }
        Ok(usual.map(str::to_owned))
    }

    fn shown(&self, m: f64) -> String {
        show(m, Dimension::Length, self.units)
    }
}

/// How an opening most likely stands.
fn usual_state(opening: &OpeningLine) -> &'static str {
    match opening.probably {
        HoleKind::Drain => "drain",
        HoleKind::ScanHole => "hole in the scan",
        _ => "open",
    }
}

/// A name with the first number that no other has.
fn numbered(name: &str, taken: &[String]) -> String {
    let more = (2..).map(|number| format!("{name} {number}"));
    let mut names = std::iter::once(name.to_owned()).chain(more);
    names.find(|name| !taken.contains(name)).unwrap_or_default()
}

fn unlike_all(name: &str, taken: &[String]) -> Result<String, String> {
    if taken.iter().any(|other| other == name) {
        Err(format!("\"{name}\" is there already"))
    } else {
        Ok(name.to_owned())
    }
}
