//! Every figure of a boat file with the range that it can be meant in. All limits are
//! ours, without a source; they only raise a doubt.
use super::super::file::{
    self, BoatFile, BoxShape, Built, Bulk, Foot, Gives, Mark, OnSkin, Outlined, Point, Shape, Skin,
    Weight, point_m,
};
use super::super::place::Place;
use super::{Loaded, THINGS_KG_M3, settings, shown, slip};
use crate::numerics::Vec3;
use crate::quantity::{Dimension, Quantity, Sentence, sentence};

/// How many hull lengths from the hull's box a thing may lie.
pub(super) const AWAY_LENGTHS: f64 = 1.0;
/// How many hull lengths from it a bulkhead may be said to stand.
const PLANES_AWAY_LENGTHS: f64 = 0.25;
/// How many hull lengths a thing may be long.
const LONG_LENGTHS: f64 = 2.0;
/// Sides of things, m: a sheet of foil at the least.
const LEAST_SIDE_M: f64 = 1e-4;
/// Thickness of skins, m.
pub(super) const SKINS_M: (f64, f64) = (1e-4, 0.1);
/// Walls, kg/m²: from cloth to steel an inch thick.
pub(super) const WALLS_KG_M2: (f64, f64) = (0.05, 200.0);
/// Water that hands and pumps throw out, m³/s: up to 1200 L/min.
pub(super) const BAILED_M3_S: (f64, f64) = (1e-6, 0.02);
/// Densities of foam, kg/m³.
pub(super) const FOAMS_KG_M3: (f64, f64) = (5.0, 700.0);
/// Densities of liquids in tanks, kg/m³: mercury has 13 600 (from memory).
const LIQUIDS_KG_M3: (f64, f64) = (500.0, 14_000.0);
/// Masses of things, kg: a gram at the least.
const LEAST_MASS_KG: f64 = 1e-3;
/// A bare hull's mass for the area of its box seen from above, kg/m²: less than one layer
/// of thin cloth and its resin, 0.4 kg/m² of skin. Ours.
const LEAST_HULL_KG_M2: f64 = 0.15;
/// Share of its length from either end within which no hull balances. Ours.
const ENDS_SHARE: f64 = 0.1;
/// Masses of people, kg: a baby, and well over any scale.
pub(super) const PEOPLE_KG: (f64, f64) = (3.0, 300.0);
/// Top of a head over the middle of the body, m.
const HEADS_M: (f64, f64) = (0.2, 1.2);
/// Volumes of things, m³: a millilitre at the least.
const LEAST_VOLUME_M3: f64 = 1e-6;
/// What compressed air is kept in, m³.
const CYLINDERS_M3: (f64, f64) = (1e-4, 0.1);
/// Pressures in it, Pa: from 5 bar.
const PRESSURES_PA: (f64, f64) = (5e5, 7e7);
/// Stiffness of foams, Pa: from a tenth of a bar to a solid.
const STIFFNESS_PA: (f64, f64) = (1e4, 1e12);
/// Share of a space that water can fill.
const PERMEABILITIES: (f64, f64) = (0.2, 1.0);
/// Area of a hole in a bulkhead, m²: a millimetre across at the least.
const LEAST_HOLE_M2: f64 = 7e-7;
/// Share of area times speed that flows.
pub(super) const DISCHARGES: (f64, f64) = (0.3, 1.0);
/// The share of a rough scan's area that its skin has: at least that of noise a third as
/// high as the edges are long. Ours.
const AREA_SHARES: (f64, f64) = (0.7, 1.0);
/// Share of the hull's breadth by which a deck may rise over its rim. Ours.
const RISE_SHARE: f64 = 0.35;
/// Share of the hull's height by which a scan or a rim may be off.
const OFF_SHARE: f64 = 0.3;
/// Share of the hull's length under which a rim may count as a hole of the scan.
pub(super) const FILL_SHARE: f64 = 0.5;

/// One number of a boat file.
pub(super) struct Figure<'a> {
    pub(super) owner: String,
    /// Where its table stands.
    pub(super) place: Option<&'a Place>,
    pub(super) key: &'static str,
    pub(super) value: Quantity,
    pub(super) dimension: Dimension,
    /// Least and most that can be meant.
    pub(super) usual: (f64, f64),
    /// Why, in words behind the figure.
    pub(super) why: Why,
}

#[derive(Clone, Copy)]
pub(super) enum Why {
    /// A coordinate along an axis: the hull's box from, to, m.
    Along(usize, f64, f64),
    /// The hull's longest side, m.
    Longest(f64),
    /// What it holds and carries as a whole.
    Whole(f64, Dimension),
    /// What such things are.
    Kind(&'static str),
}

impl Figure<'_> {
    /// What is wrong with it.
    pub(super) fn trouble(&self) -> Option<Sentence> {
        let (least, most) = self.usual;
        let value = self.value.value;
        let is_place = matches!(self.why, Why::Along(..));
        if !(least..=most).contains(&value) {
            let figure = shown(value, self.dimension);
            let why = match self.why {
                Why::Along(axis, from, to) => sentence![
                    format!(
                        " along {}, and the hull lies between ",
                        ["x", "y", "z"][axis]
                    ),
                    shown(from, Dimension::Length),
                    " and ",
                    shown(to, Dimension::Length)
                ],
                Why::Longest(longest) => sentence![
                    ", and the hull is ",
                    shown(longest, Dimension::Length),
                    " long"
                ],
                Why::Whole(whole, dimension) => {
                    sentence![", and the whole craft takes ", shown(whole, dimension)]
                }
                Why::Kind(kind) => sentence![
                    format!(", and {kind} from "),
                    shown(least, self.dimension),
                    " to ",
                    shown(most, self.dimension)
                ],
            };
            let meant = slip(self.dimension, value, self.usual);
            let is = sentence![format!("`{}` is ", self.key), figure];
            return Some(is.then(why).then(meant));
        }
        let most_spread = match self.why {
            Why::Along(_, from, to) => to - from,
            _ => value.abs(),
        };
        // Something that may be nothing has no least value to be off by.
        let judged = is_place || (least > 0.0 || value > 0.0);
        (judged && self.value.spread > most_spread).then(|| {
            let whole = if is_place {
                "the hull's whole size"
            } else {
                "the value"
            };
            sentence![
                format!("`{}` is ", self.key),
                shown(value, self.dimension),
                " ± ",
                shown(self.value.spread, self.dimension),
                format!(": the ± is more than {whole}")
            ]
        })
    }
}

/// Shows every number of a loaded boat's file to `see`.
pub(super) fn each_figure<'a>(boat: &Loaded<'a>, see: &mut dyn FnMut(Figure<'a>)) {
    let file = boat.file;
    let volume_m3 = boat.envelope.surface.signed_volume_m3();
    let scale = Scale::of(boat.hull_box_m, volume_m3, file.water.density_kg_m3);
    let mut all = All { scale, see };
    hull(file, &mut all);
    for (part, aboard) in file.parts.iter().zip(boat.parts) {
        let mut table = all.table(format!("part \"{}\"", part.name), &part.place);
        shape(&mut table, &part.shape, &part.at);
        weight(&mut table, &part.weight, &part.at);
        // Where what it changes reaches, which a mesh does not say in the file.
        if let (Shape::Mesh { .. }, Some((low, high))) = (&part.shape, aboard.change.bounds()) {
            for end in [low, high] {
                table.place("mesh", &[end.x, end.y, end.z].map(Quantity::exact));
            }
        }
    }
    for opening in &file.openings {
        let mut table = all.table(format!("opening \"{}\"", opening.name), &opening.place);
        if let Some(mark) = &opening.mark {
            marked(&mut table, mark);
        }
        if let Some(off) = opening.height_error {
            table.off("height_error", off);
        }
        if let Some(share) = opening.discharge {
            table.share("discharge", share, DISCHARGES, "holes let through a share");
        }
    }
    for item in &file.items {
        let mut table = all.table(format!("item \"{}\"", item.name), &item.place);
        of_item(&mut table, item);
    }
    for space in &file.compartments {
        let mut table = all.table(format!("compartment \"{}\"", space.name), &space.place);
        for (key, axis, plane) in space.extent.planes() {
            table.along(key, axis, plane, PLANES_AWAY_LENGTHS);
        }
        if let Some(share) = space.permeability {
            table.share("permeability", share, PERMEABILITIES, "spaces have");
        }
        if let Some(fill) = space.fill {
            table.volume("fill", fill);
        }
    }
    for passage in &file.passages {
        let mut table = all.table(format!("passage \"{}\"", passage.name), &passage.place);
        table.place("at", &passage.at);
        let area = Quantity::exact(passage.area_m2);
        let usual = (LEAST_HOLE_M2, table.scale.longest_m.powi(2));
        let why = Why::Kind("holes have");
        table.of("area", area, Dimension::Area, usual, why);
        if let Some(share) = passage.discharge {
            table.share("discharge", share, DISCHARGES, "holes let through a share");
        }
    }
    settings::mend(file, &mut all);
    settings::yardsticks(file, &mut all);
}

/// What figures are held against.
#[derive(Clone, Copy)]
pub(super) struct Scale {
    low: Vec3,
    high: Vec3,
    pub(super) longest_m: f64,
    pub(super) volume_m3: f64,
    pub(super) density_kg_m3: f64,
}

impl Scale {
    pub(super) fn of((low, high): (Vec3, Vec3), volume_m3: f64, density_kg_m3: f64) -> Self {
        Self {
            low,
            high,
            longest_m: (high - low).max(),
            volume_m3,
            density_kg_m3,
        }
    }
}

pub(super) struct All<'a, 's> {
    pub(super) scale: Scale,
    pub(super) see: &'s mut dyn FnMut(Figure<'a>),
}

impl<'a> All<'a, '_> {
    pub(super) fn table(
        &mut self,
        owner: String,
        place: impl Into<Option<&'a Place>>,
    ) -> Table<'a, '_> {
        Table {
            owner,
            place: place.into(),
            scale: self.scale,
            see: self.see,
        }
    }
}

/// A table of the file whose figures are shown.
pub(super) struct Table<'a, 's> {
    owner: String,
    place: Option<&'a Place>,
    scale: Scale,
    see: &'s mut dyn FnMut(Figure<'a>),
}

impl Table<'_, '_> {
    pub(super) fn of(
        &mut self,
        key: &'static str,
        value: Quantity,
        dimension: Dimension,
        usual: (f64, f64),
        why: Why,
    ) {
        (self.see)(Figure {
            owner: self.owner.clone(),
            place: self.place,
            key,
            value,
            dimension,
            usual,
            why,
        });
    }

    /// A coordinate, no further from the hull's box than so many of its lengths.
    pub(super) fn along(&mut self, key: &'static str, axis: usize, value: Quantity, lengths: f64) {
        let (low, high) = (self.scale.low[axis], self.scale.high[axis]);
        let away = lengths * self.scale.longest_m;
        let usual = (low - away, high + away);
        let why = Why::Along(axis, low, high);
        self.of(key, value, Dimension::Length, usual, why);
    }

    pub(super) fn place(&mut self, key: &'static str, point: &Point) {
        for (axis, value) in point.iter().enumerate() {
            self.along(key, axis, *value, AWAY_LENGTHS);
        }
    }

    /// A point that is moved by another.
    fn moved(&mut self, key: &'static str, point: &Point, at: &Point) {
        let both = |axis: usize| Quantity {
            value: point[axis].value + at[axis].value,
            spread: point[axis].spread.hypot(at[axis].spread),
        };
        self.place(key, &[both(0), both(1), both(2)]);
    }

    pub(super) fn side(&mut self, key: &'static str, value: Quantity) {
        let longest = self.scale.longest_m;
        let usual = (LEAST_SIDE_M, LONG_LENGTHS * longest);
        self.of(key, value, Dimension::Length, usual, Why::Longest(longest));
    }

    /// How far a deck rises over its rim.
    fn rise(&mut self, key: &'static str, value: Quantity) {
        let usual = (0.0, RISE_SHARE * (self.scale.high.y - self.scale.low.y));
        self.of(
            key,
            value,
            Dimension::Length,
            usual,
            Why::Kind("decks rise"),
        );
    }

    /// How far something may be off.
    fn off(&mut self, key: &'static str, value: Quantity) {
        let usual = (0.0, OFF_SHARE * (self.scale.high.z - self.scale.low.z));
        let why = Why::Kind("usable errors run");
        self.of(key, value, Dimension::Length, usual, why);
    }

    pub(super) fn share(
        &mut self,
        key: &'static str,
        value: Quantity,
        usual: (f64, f64),
        kind: &'static str,
    ) {
        self.of(key, value, Dimension::Fraction, usual, Why::Kind(kind));
    }

    pub(super) fn density(
        &mut self,
        key: &'static str,
        value: Quantity,
        usual: (f64, f64),
        kind: &'static str,
    ) {
        self.of(key, value, Dimension::Density, usual, Why::Kind(kind));
    }

    fn mass(&mut self, value: Quantity) {
        let carries = self.scale.volume_m3 * self.scale.density_kg_m3;
        let why = Why::Whole(carries, Dimension::Mass);
        self.of(
            "mass",
            value,
            Dimension::Mass,
            (LEAST_MASS_KG, carries),
            why,
        );
    }

    /// What weighs less than any hull of this size: grams for kilograms.
    fn light_hull(&mut self, mass: Quantity) {
        let size = self.scale.high - self.scale.low;
        let least = LEAST_HULL_KG_M2 * size.x * size.y;
        if mass.value < least {
            let carries = self.scale.volume_m3 * self.scale.density_kg_m3;
            let why = Why::Kind("hulls of this size weigh");
            self.of("mass", mass, Dimension::Mass, (least, carries), why);
        }
    }

    /// A hull's centre that lies at one of its ends: millimetres for metres.
    fn balance(&mut self, x: Quantity) {
        let (low, high) = (self.scale.low.x, self.scale.high.x);
        let ends = ENDS_SHARE * (high - low);
        let why = Why::Kind("along x this hull balances");
        let usual = (low + ends, high - ends);
        self.of("centre", x, Dimension::Length, usual, why);
    }

    pub(super) fn volume(&mut self, key: &'static str, value: Quantity) {
        let whole = self.scale.volume_m3;
        let why = Why::Whole(whole, Dimension::Volume);
        let least = if key == "fill" { 0.0 } else { LEAST_VOLUME_M3 };
        self.of(key, value, Dimension::Volume, (least, whole), why);
    }

    fn skin(&mut self, skin: &Skin) {
        let why = Why::Kind("skins are");
        self.of("thickness", skin.thickness, Dimension::Length, SKINS_M, why);
        self.density("density", skin.density, THINGS_KG_M3, "materials have");
    }
}

fn hull<'a>(file: &'a BoatFile, all: &mut All<'a, '_>) {
    let hull = &file.hull;
    let longest = all.scale.longest_m;
    let mut table = all.table("[hull]".to_owned(), &hull.place);
    weight(&mut table, &hull.weight, &[Quantity::exact(0.0); 3]);
    if let Weight::Weighed { mass, centre, .. } = &hull.weight {
        table.light_hull(*mass);
        if let Some(centre) = centre {
            table.balance(centre[0]);
        }
    }
    if let Some(marks) = &hull.draught_marks {
        table.along("forward", 0, marks.forward, AWAY_LENGTHS);
        table.along("aft", 0, marks.aft, AWAY_LENGTHS);
    }
    if let Some(off) = hull.scan_error {
        table.off("scan_error", off);
    }
    if let Some(share) = hull.area_share {
        table.share("area_share", share, AREA_SHARES, "scans have");
    }
    for off in hull.origin_error.into_iter().flatten() {
        table.off("origin_error", off);
    }
    if let Some(under) = hull.fill_under {
        let usual = (0.0, FILL_SHARE * longest);
        let why = Why::Longest(longest);
        table.of("fill_under", under, Dimension::Length, usual, why);
    }
    if let Some(measured) = &hull.measured {
        table.mass(measured.mass);
        table.place("centre", &measured.centre);
    }
}

fn weight(table: &mut Table<'_, '_>, weight: &Weight, at: &Point) {
    match weight {
        Weight::Unknown => {}
        Weight::Weighed {
            mass,
            centre,
            density,
        } => {
            if mass.value > 0.0 {
                table.mass(*mass);
            }
            if let Some(centre) = centre {
                table.moved("centre", centre, at);
            }
            if let Some(density) = density {
                table.density("density", *density, THINGS_KG_M3, "materials have");
            }
        }
        Weight::Skin(skin) => table.skin(skin),
        Weight::Foam(foam) => {
            table.density("foam", foam.density, FOAMS_KG_M3, "foams have");
            if let Some(glass) = &foam.glass {
                table.skin(glass);
            }
        }
    }
}

fn shape(table: &mut Table<'_, '_>, shape: &Shape, at: &Point) {
    match shape {
        Shape::Mesh { .. } | Shape::OnRim => {}
        Shape::Built(built) => built_figures(table, built),
        Shape::Box(shape) => cuboid(table, shape, at),
        Shape::Cylinder(shape) => tube(table, shape, at),
        Shape::Outline(outline) => drawn(table, outline, at),
        Shape::Wall(wall) => {
            if let Foot::Line(foot) | Foot::Ring(foot) = &wall.foot {
                for point in foot {
                    table.moved("foot", point, at);
                }
            }
            table.side("height", wall.height);
        }
    }
}

fn built_figures(table: &mut Table<'_, '_>, built: &Built) {
    let none = Quantity::exact(0.0);
    match built {
        Built::Deck(deck) => {
            for (key, rise) in [("camber", deck.camber), ("crown", deck.crown)] {
                if rise.value > 0.0 {
                    table.rise(key, rise);
                }
            }
        }
        Built::Bulkhead(bulkhead) => {
            table.place("station", &[bulkhead.station, none, none]);
        }
        Built::Sponson(sponson) => {
            table.side("width", sponson.width);
            table.side("height", sponson.height);
        }
        Built::Skeg(skeg) => {
            table.side("depth", skeg.depth);
            table.side("width", skeg.width);
        }
        Built::Filling(filling) => {
            for (key, end) in ["aft", "forward"].into_iter().zip(filling.ends) {
                table.along(key, 0, end, PLANES_AWAY_LENGTHS);
            }
            let heights = ["above", "below"].into_iter().zip(filling.heights);
            let sides = ["port_of", "starboard_of"].into_iter().zip(filling.sides);
            for (axis, (key, end)) in heights.map(|one| (2, one)).chain(sides.map(|one| (1, one))) {
                if let Some(end) = end {
                    table.along(key, axis, end, PLANES_AWAY_LENGTHS);
                }
            }
            if let Some(sheet) = filling.sheet {
                table.side("sheet", sheet);
            }
        }
        Built::Lifted(lifted) => on_skin(table, &lifted.panel),
        Built::Pocket(pocket) => {
            on_skin(table, &pocket.on_skin);
            table.side("depth", pocket.depth);
        }
    }
}

fn marked(table: &mut Table<'_, '_>, mark: &Mark) {
    let at = [Quantity::exact(0.0); 3];
    match mark {
        Mark::Box(shape) => cuboid(table, shape, &at),
        Mark::Cylinder(shape) => tube(table, shape, &at),
        Mark::Outline(outline) => drawn(table, outline, &at),
        Mark::OnSkin(drawn) => on_skin(table, drawn),
        Mark::Mesh { .. } | Mark::Wall(_) | Mark::Loop(_) => {}
    }
}

fn on_skin(table: &mut Table<'_, '_>, drawn: &OnSkin) {
    table.place("centre", &drawn.centre);
    match drawn.outlined {
        Outlined::Circle { diameter } => table.side("diameter", diameter),
        Outlined::Rectangle { length, height, .. } => {
            table.side("length", length);
            table.side("height", height);
        }
    }
}

fn cuboid(table: &mut Table<'_, '_>, shape: &BoxShape, at: &Point) {
    match shape {
        BoxShape::Corners { min, max } => {
            table.moved("min", min, at);
            table.moved("max", max, at);
        }
        BoxShape::Centred { centre, size } => {
            table.moved("centre", centre, at);
            for side in size {
                table.side("size", *side);
            }
        }
    }
}

fn tube(table: &mut Table<'_, '_>, shape: &file::Cylinder, at: &Point) {
    table.moved("from", &shape.from, at);
    table.moved("to", &shape.to, at);
    table.side("radius", shape.radius);
}

fn drawn(table: &mut Table<'_, '_>, outline: &file::Outline, at: &Point) {
    for point in &outline.points {
        let mut point = *point;
        // Its own coordinate along the axis does not count.
        point[outline.along] = Quantity::exact(outline.from_m);
        table.moved("points", &point, at);
    }
    let by = at[outline.along].value;
    for (key, value) in [("from", outline.from_m), ("to", outline.to_m)] {
        let value = Quantity::exact(value + by);
        table.along(key, outline.along, value, AWAY_LENGTHS);
    }
}

fn of_item(table: &mut Table<'_, '_>, item: &file::Item) {
    table.place("at", &item.at);
    match item.person {
        None => table.mass(item.mass),
        Some(person) => {
            let why = Why::Kind("people weigh");
            table.of("mass", item.mass, Dimension::Mass, PEOPLE_KG, why);
            let why = Why::Kind("heights of the head run");
            table.of("head", person.head, Dimension::Length, HEADS_M, why);
            let (keel, high) = (table.scale.low.z, table.scale.high.z);
            let why = Why::Kind("people aboard sit over the keel, at z");
            let over = (keel, high + AWAY_LENGTHS * table.scale.longest_m);
            table.of("at", item.at[2], Dimension::Length, over, why);
        }
    }
    match item.bulk {
        Some(Bulk::Volume(volume)) => table.volume("volume", volume),
        Some(Bulk::Density(density)) => {
            table.density("density", density, THINGS_KG_M3, "things have");
        }
        None => {}
    }
    for side in item.size.iter().flatten() {
        table.side("size", *side);
    }
    if let Some(point) = &item.volume_at {
        table.place("volume_at", point);
        if let Some(size) = &item.size {
            // Its weight lies within the box that its volume fills, or not far off it.
            let off = point_m(point) - point_m(&item.at);
            for axis in 0..3 {
                let side = size[axis].value;
                let from = item.at[axis].value;
                let usual = (from - side, from + side);
                let why = Why::Kind("by `at` and `size` it lies");
                if off[axis].abs() > side {
                    table.of("volume_at", point[axis], Dimension::Length, usual, why);
                }
            }
        }
    }
    if let Some(cylinder) = &item.cylinder {
        let why = Why::Kind("cylinders hold");
        table.of(
            "water_volume",
            cylinder.water_volume,
            Dimension::Volume,
            CYLINDERS_M3,
            why,
        );
        let why = Why::Kind("cylinder pressures run");
        table.of(
            "pressure",
            cylinder.pressure,
            Dimension::Pressure,
            PRESSURES_PA,
            why,
        );
        let usual = (0.0, PRESSURES_PA.1);
        table.of("reserve", cylinder.reserve, Dimension::Pressure, usual, why);
    }
    match item.gives {
        Some(Gives::SoftGas(gas)) => table.volume("gas_volume", gas),
        Some(Gives::Stiffness(stiffness)) => {
            let why = Why::Kind("foams have");
            table.of(
                "stiffness",
                stiffness,
                Dimension::Pressure,
                STIFFNESS_PA,
                why,
            );
        }
        None => {}
    }
    if let Some(liquid) = item.liquid {
        table.volume("liquid", liquid.volume);
        table.density("liquid", liquid.density, LIQUIDS_KG_M3, "liquids have");
    }
}
