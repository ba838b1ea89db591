//! Whether the places and sizes of a boat file can be meant: every figure of a loaded
//! boat is held against its hull, in one look.
//!
//! Refused is what could only mislead: an opening off the skin, a passage off its
//! wall. Else the figure is doubted. Both name table, key, figure and the unit that
//! was probably meant.
use std::fmt;

use super::bulkheads::Bulkheads;
use super::compartment::Inside;
use super::envelope::Envelope;
use super::file::{self, BoatFile, Bulk, Mark, point_m};
use super::guessed;
use super::opening::Opening;
use super::place::Place;
use super::{Boat, MassEntry, PartAboard};
use crate::mesh::{Doubt, DoubtKind, FaceRuns, NearSurface};
use crate::numerics::Vec3;
use crate::quantity::{Dimension, Piece, Sentence, sentence};

mod figures;
mod holes;
mod options;
mod settings;

use figures::{AWAY_LENGTHS, Figure, each_figure};
pub use options::Given;
use options::each_of_option;

/// Densities of things, kg/m³: under the lightest foam, over osmium (22 600, from
/// memory), there is nothing.
const THINGS_KG_M3: (f64, f64) = (5.0, 23_000.0);
/// Units that are mixed up with the base unit, by how much of that they are.
const LENGTHS: &[(&str, f64)] = &[("mm", 1e-3), ("cm", 1e-2), ("in", 0.0254), ("ft", 0.3048)];
const VOLUMES: &[(&str, f64)] = &[("L", 1e-3), ("mL", 1e-6)];
const MASSES: &[(&str, f64)] = &[("g", 1e-3), ("lb", 0.453_592_37)];
const DENSITIES: &[(&str, f64)] = &[("g/cm3", 1e3), ("lb/ft3", 16.018_463)];
const PRESSURES: &[(&str, f64)] = &[("bar", 1e5), ("psi", 6_894.757)];
/// Most units that are asked about.
const MOST_UNITS: usize = 2;

/// A figure that can hardly be meant.
#[derive(Debug, Clone)]
pub struct Unlikely {
    place: Option<Place>,
    owner: String,
    text: Sentence,
}

/// With its place first, as errors have it.
impl fmt::Display for Unlikely {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(place) = &self.place {
            write!(f, "{place}: ")?;
        }
        write!(f, "{}: {}", self.owner, self.text)
    }
}

impl Unlikely {
    fn new<'a>(
        owner: impl Into<String>,
        place: impl Into<Option<&'a Place>>,
        text: impl Into<Sentence>,
    ) -> Self {
        Self {
            place: place.into().cloned(),
            owner: owner.into(),
            text: text.into(),
        }
    }

    fn doubt(&self) -> Doubt {
        let place = self.place.as_ref();
        let place = place.map_or(String::new(), |place| format!(" ({place})"));
        Doubt::new(DoubtKind::Place, self.text.clone()).about(&format!("{}{place}", self.owner))
    }
}

/// A boat as far as it is made.
pub(super) struct Loaded<'a> {
    pub(super) file: &'a BoatFile,
    pub(super) envelope: &'a Envelope,
    /// The runs of its faces.
    pub(super) runs: &'a FaceRuns,
    /// Least and greatest coordinates of the hull without parts, m.
    pub(super) hull_box_m: (Vec3, Vec3),
    pub(super) openings: &'a [Opening],
    pub(super) inside: &'a Inside,
    pub(super) parts: &'a [PartAboard],
    /// Entries of the file's items.
    pub(super) items: &'a [MassEntry],
}

/// What of a boat can hardly be meant.
#[derive(Default)]
pub(super) struct Looked {
    pub(super) refused: Vec<Unlikely>,
    doubted: Vec<Unlikely>,
}

impl Looked {
    pub(super) fn doubts(&self) -> impl Iterator<Item = Doubt> + '_ {
        self.doubted.iter().map(Unlikely::doubt)
    }
}

/// Looks at every place and size of a boat.
pub(super) fn look(boat: &Loaded<'_>) -> Looked {
    let mut looked = Looked::default();
    let mut seen: Vec<(String, &str)> = Vec::new();
    each_figure(boat, &mut |figure: Figure<'_>| {
        // One complaint a key: all three numbers of a point have the same unit.
        let known = |(owner, key): &(String, &str)| *owner == figure.owner && *key == figure.key;
        if let Some(text) = figure.trouble()
            && !seen.iter().any(known)
        {
            seen.push((figure.owner.clone(), figure.key));
            let found = Unlikely::new(figure.owner, figure.place, text);
            looked.doubted.push(found);
        }
    });
    items(boat, &mut looked.doubted);
    settings::water(boat.file, &mut looked.doubted);
    named_twice(boat.file, &mut looked.doubted);
    holes::look(boat, &mut looked);
    looked
}

impl Boat {
    /// Doubts what an option gives where it can hardly be meant, as the figures of the
    /// boat's file are when it is loaded.
    pub fn hold(&mut self, option: &'static str, given: Given) {
        let mut doubts = Vec::new();
        each_of_option(self, option, given, &mut |figure| {
            doubts.extend(figure.trouble());
        });
        self.doubts.extend(doubts.into_iter().next().map(of_option));
    }
}

fn of_option(text: Sentence) -> Doubt {
    Doubt::new(DoubtKind::Place, text).about("the command line")
}

/// Doubts a length under which holes are to be filled, m, that makes a hole of every
/// opening of a hull so long.
#[must_use]
pub fn doubt_fill_under(option: &'static str, under_m: f64, longest_m: f64) -> Option<Doubt> {
    let figure = options::fill_under(option, under_m, longest_m);
    figure.trouble().map(of_option)
}

/// The unit that was probably meant where a value should lie in a range, as a
/// question to put behind it.
fn slip(dimension: Dimension, value: f64, (least, most): (f64, f64)) -> Piece {
    let units = match dimension {
        Dimension::Length => LENGTHS,
        Dimension::Volume => VOLUMES,
        Dimension::Mass => MASSES,
        Dimension::Density => DENSITIES,
        Dimension::Pressure => PRESSURES,
        _ => &[],
    };
    let meant: Vec<&str> = units
        .iter()
        .filter(|(_, share)| (least..=most).contains(&(value * share)))
        .map(|(unit, _)| *unit)
        .take(MOST_UNITS)
        .collect();
    // In other units than the figure's own the number must be told as it is written.
    let number: f64 = format!("{value:.5e}").parse().unwrap_or(value);
    let asked = |of: &str| match meant.as_slice() {
        [] => String::new(),
        [one] => format!(": was {of}{one} meant?"),
        [one, other, ..] => format!(": was {of}{one} or {other} meant?"),
    };
    Piece::ByUnits(asked(""), asked(&format!("{number} ")))
}

fn shown(value: f64, dimension: Dimension) -> Piece {
    Piece::Shown(value, dimension)
}

/// What two keys of one item say against each other, and its place against the craft.
fn items(boat: &Loaded<'_>, doubted: &mut Vec<Unlikely>) {
    let bulkheads = Bulkheads::of(&boat.inside.compartments);
    for (item, entry) in boat.file.items.iter().zip(boat.items) {
        let owner = format!("item \"{}\"", item.name);
        let mut doubt = |text: Sentence| doubted.push(Unlikely::new(&owner, &item.place, text));
        let litres = |m3: f64| shown(m3, Dimension::Volume);
        let volume_m3 = entry.solid_m3;
        let given = matches!(item.bulk, Some(Bulk::Volume(_)));
        if let Some(volume_m3) = volume_m3.filter(|_| given) {
            let density = entry.mass_kg / volume_m3;
            let (least, most) = THINGS_KG_M3;
            if !(least..=most).contains(&density) {
                let meant = slip(
                    Dimension::Volume,
                    volume_m3,
                    (entry.mass_kg / most, entry.mass_kg / least),
                );
                doubt(sentence![
                    "`volume` is ",
                    litres(volume_m3),
                    ", which with its mass makes ",
                    shown(density, Dimension::Density),
                    "; nothing is that light or that heavy",
                    meant
                ]);
            }
        }
        if let (Some(volume_m3), Some(size)) = (volume_m3, entry.under_water.size_m)
            && volume_m3 > size.product() * (1.0 + 1e-6)
            && item.liquid.is_none()
        {
            doubt(sentence![
                format!(
                    "its `size` holds {:.2} % less than its volume of ",
                    100.0 * (1.0 - size.product() / volume_m3)
                ),
                litres(volume_m3),
                "; make `size` larger, or the volume smaller"
            ]);
        }
        if let (Some(cylinder), Some(volume_m3)) = (&item.cylinder, volume_m3)
            && cylinder.water_volume.value > volume_m3
        {
            doubt(sentence![
                "`water_volume` of its `cylinder` is ",
                litres(cylinder.water_volume.value),
                ", more than the ",
                litres(volume_m3),
                " that the whole of it takes"
            ]);
        }
        if let (Some(_), Some(size)) = (&item.liquid, &item.size) {
            let half = point_m(size) / 2.0;
            let (low, high) = boat.envelope.surface.bounds().unwrap_or_default();
            let past = (low - (entry.centre_m - half))
                .sup(&(entry.centre_m + half - high))
                .max();
            if past > holes::TAPE_M {
                doubt(format!(
                    "the tank that its `size` makes about `at` reaches {} out of the craft's box",
                    shown(past, Dimension::Length)
                ).into());
            }
        }
        if let Some(text) = home(boat, item, entry) {
            doubt(text.into());
        }
        if let Some(text) = far_off(boat, item, entry) {
            doubt(text.into());
        }
        // A bulkhead that a part puts there is told of already.
        if let Some(size) = &entry.under_water.size_m
            && guessed::through(item, boat.parts).next().is_none()
            && let Some(space) = bulkheads.through(&entry.volume_centre_m(), size)
        {
            doubt(format!(
                "a bulkhead of compartment \"{space}\" goes through the box that its `size` makes: check its place and `size`"
            ).into());
        }
    }
}

/// An item that names a compartment and stands outside it.
fn home(boat: &Loaded<'_>, item: &file::Item, entry: &MassEntry) -> Option<String> {
    let name = item.compartment.as_deref()?;
    let spaces = &boat.inside.compartments;
    let space = spaces.iter().find(|space| space.name == name)?;
    let middle = entry.volume_centre_m();
    if space.encloses(&middle) {
        return None;
    }
    // Half of it may stand out: it is a thing, not a point.
    let half_m = match (&entry.under_water.size_m, entry.solid_m3) {
        (Some(size), _) => size.max() / 2.0,
        (None, Some(volume_m3)) => volume_m3.cbrt() / 2.0,
        (None, None) => 0.0,
    };
    let off_m = NearSurface::of(space.surface()).distance_m(&middle);
    (off_m > half_m + holes::TAPE_M).then(|| {
        format!(
            "`compartment` says \"{name}\", but it stands {} outside that",
            shown(off_m, Dimension::Length)
        )
    })
}

/// An item that stands clear of the craft: further off its box than half the beam, or
/// than the item itself reaches. Past the hull's length its figures are doubted one by one.
fn far_off(boat: &Loaded<'_>, item: &file::Item, entry: &MassEntry) -> Option<String> {
    let (low, high) = boat.envelope.surface.bounds()?;
    let (low, high) = (low.inf(&boat.hull_box_m.0), high.sup(&boat.hull_box_m.1));
    let at = entry.centre_m;
    let off = (low - at).sup(&(at - high)).sup(&Vec3::zeros());
    let hull = boat.hull_box_m.1 - boat.hull_box_m.0;
    let own_m = match (&item.person, &entry.under_water.size_m) {
        (Some(person), _) => 2.0 * person.head.value,
        (None, Some(size)) => size.max(),
        (None, None) => 0.0,
    };
    let is_told = off.max() > AWAY_LENGTHS * hull.max();
    (!is_told && off.norm() > own_m.max(hull.y / 2.0)).then(|| {
        let axis = off.imax();
        let length = |m: f64| shown(m, Dimension::Length);
        format!(
            "`at` is {} off the craft: it lies at {} {}, and the craft between {} and {} there; check the figure and its unit",
            length(off.norm()),
            ["x", "y", "z"][axis],
            length(at[axis]),
            length(low[axis]),
            length(high[axis])
        )
    })
}

/// One edge or wall that two openings name.
fn named_twice(file: &BoatFile, doubted: &mut Vec<Unlikely>) {
    for (number, opening) in file.openings.iter().enumerate() {
        let same = |other: &&file::Opening| match (&other.mark, &opening.mark) {
            (Some(Mark::Loop(one)), Some(Mark::Loop(other))) => one == other,
            (Some(Mark::Wall(one)), Some(Mark::Wall(other))) => one == other,
            _ => false,
        };
        if let Some(first) = file.openings[..number].iter().find(same) {
            let key = match &opening.mark {
                Some(Mark::Loop(number)) => format!("`loop = {number}`"),
                _ => "the same `wall`".to_owned(),
            };
            let owner = format!("openings \"{}\" and \"{}\"", first.name, opening.name);
            let text = format!(
                "both name {key}: one edge is counted as two openings, each of its own state"
            );
            doubted.push(Unlikely::new(owner, &opening.place, text));
        }
    }
}
