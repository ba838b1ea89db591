//! The file of measurements.
use std::path::Path;

use super::super::shared::named::opening_named;
use super::measured::{
    ANGLE_DEG, FloatMark, InclineMove, Measured, Push, SCALE_KG, Scale, TAPE_M, Tipped, TwoScales,
    exactly_at,
};
use crate::boat::fields::{Bare, Bound, Fields, Holds, TableKeys, Way, keys};
use crate::boat::file::{Point, TAPE, read_tables};
use crate::boat::{BoatFileError, Fault, HullOnTape, Problem};
use crate::equilibrium::Afloat;
use crate::files::Files;
use crate::quantity::{Dimension, Quantity};

const fn amount(dimension: Dimension, bound: Bound) -> Holds {
    Holds::Quantity(dimension, bound, Bare::Allowed)
}

const LENGTH: Holds = amount(Dimension::Length, Bound::Any);
const ANGLE: Holds = amount(Dimension::Angle, Bound::Any);
const MASS: Holds = amount(Dimension::Mass, Bound::Positive);
/// A unit is asked for: a newton is rarely what a person means.
const FORCE: Holds = Holds::Quantity(Dimension::Force, Bound::Any, Bare::Refused);

static FILE: TableKeys = TableKeys {
    title: "the file of measurements",
    example: "[[float_mark]]",
    tells: "what was measured, with all aboard that the boat file has",
    keys: keys! {
        "float_mark" => Holds::Tables(&FLOAT_MARK), "three or more";
        "two_scales" => Holds::Table(&TWO_SCALES), "a weighing on two scales, boat level";
        "incline" => Holds::Tables(&INCLINE), "four to six moves of a mass";
        "push" => Holds::Tables(&PUSH), "pushes down on one point";
    },
};
static FLOAT_MARK: TableKeys = TableKeys {
    title: "[[float_mark]]",
    example: "[[float_mark]]",
    tells: "the height of a point above the water",
    keys: keys! {
        "at" => Holds::Point(&TAPE), "the point, or";
        "opening" => Holds::Text("cockpit"), "the opening whose lowest rim point it is";
        "over_water" => LENGTH, "its height, negative under water; required";
    },
};
static TWO_SCALES: TableKeys = TableKeys {
    title: "[two_scales]",
    example: "[two_scales]",
    tells: "a weighing on two scales, boat level",
    keys: keys! {
        "aft" => Holds::Table(&AFT), "the after one; required";
        "fore" => Holds::Table(&FORE), "the fore one; required";
        "stands_at_z" => LENGTH, "the height z of the points on which the boat stands; 0 unless said";
        "tipped" => Holds::Table(&TIPPED), "a second weighing, the fore end raised";
    },
};
const SCALE: &[crate::boat::fields::Key] = keys! {
    "x" => LENGTH, "where along the boat; required";
    "reads" => MASS, "what it reads; required";
};
static AFT: TableKeys = TableKeys {
    title: "`aft`",
    example: "aft = { x = 0.3, reads = \"112 kg\" }",
    tells: "the after scale",
    keys: SCALE,
};
static FORE: TableKeys = TableKeys {
    title: "`fore`",
    example: "fore = { x = 2.8, reads = \"87 kg\" }",
    tells: "the fore scale",
    keys: SCALE,
};
static TIPPED: TableKeys = TableKeys {
    title: "`tipped`",
    example: "tipped = { angle = \"10 deg\", fore_reads = \"83 kg\" }",
    tells: "the fore end raised",
    keys: keys! {
        "angle" => ANGLE, "by how much; required";
        "fore_reads" => MASS, "what the fore scale reads then; required";
    },
};
static INCLINE: TableKeys = TableKeys {
    title: "[[incline]]",
    example: "[[incline]]",
    tells: "a mass aboard moved across",
    keys: keys! {
        "mass" => MASS, "of what is moved; required";
        "moved" => LENGTH, "how far, to starboard +; required";
        "heel" => ANGLE, "the change of heel, starboard down +; required";
    },
};
static PUSH: TableKeys = TableKeys {
    title: "[[push]]",
    example: "[[push]]",
    tells: "a push down on one point",
    keys: keys! {
        "at" => Holds::Point(&TAPE), "the point; required";
        "force" => FORCE, "the push down; required";
        "sinks" => LENGTH, "how far that point goes down; required";
    },
};

impl Measured {
    /// Reads a file of measurements.
    ///
    /// # Errors
    /// Everything wrong with it at once, each with its line and what to do; tape readings
    /// and openings need `places`.
    pub fn read(
        from: &dyn Files,
        path: &Path,
        places: Option<&MarkPlaces<'_>>,
    ) -> Result<Self, BoatFileError> {
        let (table, place) = read_tables(from, path, places.map(|places| places.hull))?;
        let mut problems = Vec::new();
        let mut top = Fields::of_file(&table, &place, &FILE, &mut problems);
        let measured = Self {
            marks: top.entries("float_mark", |fields| float_mark(fields, places)),
            two_scales: two_scales(&mut top),
            moves: top.entries("incline", incline),
            pushes: top.entries("push", push),
        };
        top.finish();
        if problems.is_empty() {
            Ok(measured)
        } else {
            Err(BoatFileError::new(problems))
        }
    }
}

/// What is read off an instrument, whose ± is `usual` unless stated.
fn reading(fields: &mut Fields<'_, '_>, key: &'static str, usual: f64) -> Option<Quantity> {
    let read = fields.required_quantity(key)?;
    if read.spread > 0.0 {
        return Some(read);
    }
    if fields.states_spread(key)
        && let Some(node) = fields.node(key)
    {
        let help = "nothing is read exactly: take the ± out, or say how far off it may be";
        fields.out_of_range(key, node, "exact, ± 0".to_owned(), "± more than 0", help);
        return None;
    }
    Some(Quantity {
        spread: usual,
        ..read
    })
}

fn float_mark(fields: &mut Fields<'_, '_>, places: Option<&MarkPlaces<'_>>) -> Option<FloatMark> {
    let over_water = reading(fields, "over_water", TAPE_M);
    let at = match fields.one_way(&[&["at"], &["opening"]]) {
        Way::None => {
            fields.missing(
                &["at", "opening"],
                "at = [0, \"25 cm\", \"36 cm\"], or opening = \"its name\" for the lowest point of its rim",
            );
            None
        }
        Way::Several => None,
        Way::One(0) => fields.triple("at"),
        Way::One(_) => sill(fields, places),
    };
    Some(FloatMark {
        at: at?,
        over_water: over_water?,
    })
}

fn sill(fields: &mut Fields<'_, '_>, places: Option<&MarkPlaces<'_>>) -> Option<Point> {
    const KEY: &str = "opening";
    let name = fields.text(KEY)?;
    let found = match places {
        Some(places) => places.sill(name),
        None => Err("no boat is given".to_owned()),
    };
    match found {
        Ok(at) => Some(at),
        Err(words) => {
            let place = fields.node(KEY)?.place.clone();
            let (key, owner) = (KEY.to_owned(), fields.owner().to_owned());
            fields.note(Problem::new(&place, Fault::NoSill { key, owner, words }));
            None
        }
    }
}

fn two_scales(top: &mut Fields<'_, '_>) -> Option<TwoScales> {
    let mut fields = top.table("two_scales")?;
    let mut scale = |key| {
        if !fields.has(key) {
            let example = fields.example(key);
            fields.missing(&[key], &example);
        }
        let mut one = fields.table(key)?;
        let x = one.required_quantity("x");
        let reads = reading(&mut one, "reads", SCALE_KG);
        one.finish();
        Some(Scale {
            x: x?,
            reads: reads?,
        })
    };
    let [aft, fore] = ["aft", "fore"].map(&mut scale);
    let stands_at_z = fields.quantity("stands_at_z");
    let has_height = fields.has("stands_at_z");
    let tipped = fields.table("tipped").map(|mut tipped| {
        let angle = reading(&mut tipped, "angle", ANGLE_DEG);
        let fore_reads = reading(&mut tipped, "fore_reads", SCALE_KG);
        tipped.finish();
        Some(Tipped {
            angle: angle?,
            fore_reads: fore_reads?,
        })
    });
    if tipped.is_some() && !has_height {
        fields.missing(
            &["stands_at_z"],
            "stands_at_z = 0, the height z of the points on which the boat stands: `tipped` needs it",
        );
    }
    fields.finish();
    Some(TwoScales {
        aft: aft?,
        fore: fore?,
        stands_at_z: stands_at_z.unwrap_or(Quantity::exact(0.0)),
        tipped: tipped.flatten(),
    })
}

fn incline(fields: &mut Fields<'_, '_>) -> Option<InclineMove> {
    let [mass, moved] = ["mass", "moved"].map(|key| fields.required_quantity(key));
    let heel = reading(fields, "heel", ANGLE_DEG);
    Some(InclineMove {
        mass: mass?,
        moved: moved?,
        heel: heel?,
    })
}

fn push(fields: &mut Fields<'_, '_>) -> Option<Push> {
    let at = fields.required_triple("at");
    let force = fields.required_quantity("force");
    let sinks = reading(fields, "sinks", TAPE_M);
    Some(Push {
        at: at?,
        force: force?,
        sinks: sinks?,
    })
}

/// What places of measurements are found on, beside x, y and z.
pub struct MarkPlaces<'a> {
    /// The boat as its file floats it, for openings by name.
    pub afloat: &'a Afloat<'a>,
    /// Its hull, for tape readings.
    pub hull: &'a HullOnTape,
}

impl MarkPlaces<'_> {
    /// The rim point of an opening that lies lowest above the water as the boat file
    /// floats it. Its height has the rim's ±.
    fn sill(&self, name: &str) -> Result<Point, String> {
        let boat = self.afloat.boat();
        let number = opening_named(boat, name).map_err(|error| error.to_string())?;
        let opening = &boat.openings[number];
        if opening.rim.is_empty() {
            return Err(format!("opening \"{name}\" has no rim"));
        }
        let rest = self.afloat.rest().map_err(|why| {
            format!("which point of \"{name}\" lies lowest is not known, give the point by `at`: as the boat file has it, {why}")
        })?;
        let mut at = exactly_at(opening.sill_m(&rest.plane().up));
        at[2].spread = opening.rim_spread_m;
        Ok(at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::Memory;

    fn parsed(text: &str) -> Result<Measured, String> {
        let mut files = Memory::default();
        files.add("measured.toml", text.as_bytes());
        Measured::read(&files, Path::new("measured.toml"), None).map_err(|error| error.to_string())
    }

    #[test]
    fn units_are_read_and_kept_in_si() {
        let text = "[[float_mark]]\nat = [0, \"20 cm\", 0.4]\nover_water = \"9 in\"\n\
                    [[push]]\nat = [0, 0, 0]\nforce = \"10 kgf\"\nsinks = \"12 mm\"\n\
                    [two_scales]\naft = { x = 0.2, reads = \"100 lb\" }\nfore = { x = 3, reads = 40 }\n";
        let measured = parsed(text).unwrap();
        assert!((measured.marks[0].over_water.value - 9.0 * 0.0254).abs() < 1e-15);
        assert!((measured.pushes[0].force.value - 98.0665).abs() < 1e-9);
        let scales = measured.two_scales.unwrap();
        assert!((scales.aft.reads.value - 45.359_237).abs() < 1e-9);
        assert!(scales.tipped.is_none());
        // Read by tape and scale; a place is exact unless it says.
        assert_eq!(measured.marks[0].over_water.spread, TAPE_M);
        assert_eq!(measured.marks[0].at[2].spread, 0.0);
        assert_eq!(scales.fore.reads.spread, SCALE_KG);
    }

    #[test]
    fn what_is_wrong_is_named() {
        for (text, words) in [
            ("[[float_mark]]\nat = [0, 0]\nover_water = 1\n", "at"),
            ("[[float_marks]]\nat = [0, 0, 0]\n", "float_marks"),
            (
                "[[incline]]\nmass = \"3 m\"\nmoved = 1\nheel = 1\n",
                "measured.toml:2:8: `mass` in [[incline]]",
            ),
            (
                "[[push]]\nat = [0, 0, 0]\nforce = 10\nsinks = 0.1\n",
                "measured.toml:3:9: `force` in [[push]]",
            ),
            (
                "[[float_mark]]\nat = [0, 0, 0]\nover_water = \"1 m ± 0 m\"\n",
                "nothing is read exactly",
            ),
            (
                "[two_scales]\naft = { x = 0, reads = 1 }\nfore = { x = 1, reads = 0 }\n",
                "`reads` in `fore` in [two_scales] is 0",
            ),
            (
                "[two_scales]\naft = { x = 0, reads = 1 }\nfore = { x = 1, reads = 1 }\ntipped = { angle = 5, fore_reads = 1 }\n",
                "stands_at_z",
            ),
        ] {
            let message = parsed(text).unwrap_err();
            assert!(message.contains(words), "{text}: {message}");
        }
    }

    #[test]
    fn all_that_is_wrong_is_told_at_once() {
        let text = "[[float_mark]]\nat = [0, 0, 0]\nover_watter = 1\n\
                    [[push]]\nat = { from_stem = 1, from_middle = 0, over_base = 0 }\n\
                    force = \"10 kgf\"\nsinks = \"1 kg\"\n";
        let told = parsed(text).unwrap_err();
        assert!(
            told.contains("the hull's mesh is needed for tape readings"),
            "{told}"
        );
        let told = parsed(&text.replace(
            "{ from_stem = 1, from_middle = 0, over_base = 0 }",
            "[0, 0, 0]",
        ));
        let told = told.unwrap_err();
        for words in [
            "measured.toml:3:1: unknown key `over_watter`",
            "did you mean `over_water`?",
            "measured.toml:7:9: `sinks` in [[push]]",
        ] {
            assert!(told.contains(words), "no `{words}`: {told}");
        }
    }
}
