//! Parts that are made from the hull itself by few numbers: their data and reading.
use serde::Serialize;

use super::inside::{Compartment, Extent};
use super::keys::{HINGES, SECTIONS, SIDES};
use super::shapes::metres;
use super::{OnSkin, Outlined, Role, Skin, Weight};
use crate::boat::fields::{Fields, Way};
use crate::boat::place::Place;
use crate::quantity::Quantity;

/// A part made from the hull.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Built {
    /// `deck`.
    Deck(Deck),
    /// `bulkhead`.
    Bulkhead(Bulkhead),
    /// `sponson`.
    Sponson(Sponson),
    /// `skeg`.
    Skeg(Skeg),
    /// `filling`.
    Filling(Filling),
    /// `pocket`.
    Pocket(Pocket),
    /// `lifted`.
    Lifted(Lifted),
}

/// Which keys of a part give such a shape.
pub(super) const KEYS: [&str; 7] = [
    "deck", "bulkhead", "sponson", "skeg", "filling", "pocket", "lifted",
];

/// `deck`: closes an opening from rim to rim.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Deck {
    /// `over`: the opening, an open edge of the hull or the top of a wall.
    pub over: String,
    /// `aft` and `forward`: x of its ends, m; those of the opening unless given.
    pub ends: [Option<Quantity>; 2],
    /// `camber`: its rise over the rim amidships where it is widest, m.
    pub camber: Quantity,
    /// `crown`: its further rise half-way between its ends, m.
    pub crown: Quantity,
    /// `bulkhead`: whether it is closed down to the bottom where it stops.
    pub bulkhead: bool,
    /// `compartment`: what the space under it is called.
    pub compartment: Option<String>,
    /// `sealed`: whether that keeps the water out whatever happens.
    pub sealed: bool,
}

/// `bulkhead`: a wall across the inside.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Bulkhead {
    /// `station`: its x, m.
    pub station: Quantity,
    /// The compartment that it closes, and whether that is the space forward of it.
    pub closes: Option<(String, bool)>,
    /// `sealed`: whether that keeps the water out whatever happens.
    pub sealed: bool,
}

/// `sponson`: along the hull's side.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sponson {
    /// `aft` and `forward`: x of its ends, m.
    pub ends: [Quantity; 2],
    /// `middle`: z of its middle, m.
    pub middle: Quantity,
    /// `section`.
    pub section: SponsonSection,
    /// `width`: how far it stands out from the skin; a round one's diameter, m.
    pub width: Quantity,
    /// `height`, m.
    pub height: Quantity,
    /// `offset`: how far outside the skin it begins, a round one's axis lies, m.
    pub offset: Quantity,
    /// `side`.
    pub sides: SponsonSides,
}

/// `section` of a sponson.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum SponsonSection {
    /// A tube with its axis on the skin.
    Round,
    /// An upright rectangle.
    Box,
    /// Level at the top, running in to the skin at its foot.
    Triangle,
}

/// `side` of a sponson.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum SponsonSides {
    /// Port alone.
    Port,
    /// Starboard alone.
    Starboard,
    /// One on each side.
    Both,
}

/// `skeg`: along under the keel.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Skeg {
    /// `aft` and `forward`: x of its ends, m.
    pub ends: [Quantity; 2],
    /// `depth` under the skin, m.
    pub depth: Quantity,
    /// `width`: how thick it is, m.
    pub width: Quantity,
    /// `off_middle`: y of its middle, m; the hull's own unless given.
    pub off_middle: Option<Quantity>,
}

/// `filling`: foam fitted to the inside.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Filling {
    /// `aft` and `forward`: x of its ends, m.
    pub ends: [Quantity; 2],
    /// `above` and `below`: z between which it lies, m; no limit where one is left out.
    pub heights: [Option<Quantity>; 2],
    /// `starboard_of` and `port_of`: y under and over which it lies, m.
    pub sides: [Option<Quantity>; 2],
    /// `clear`: room left round items, m.
    pub clear: Quantity,
    /// `sheet`: thickness of the sheets that it is cut from, m.
    pub sheet: Option<Quantity>,
}

/// `pocket`: cut into the skin and closed again.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Pocket {
    /// Where and how large it is.
    pub on_skin: OnSkin,
    /// `depth` square to the skin, m.
    pub depth: Quantity,
}

/// `lifted`: a panel of the skin, cut free along three sides and turned up about the fourth.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lifted {
    /// The panel: a rectangle.
    pub panel: OnSkin,
    /// `hinge`: the side that it turns about.
    pub hinge: Hinge,
    /// `angle`, or that which the `height` of its free edge makes, degrees.
    pub angle: Quantity,
    /// Whether what it opens below is closed: `closed`, or `compartment`.
    pub closed: bool,
    /// `compartment`: what the room under it is called where that is closed; as the part
    /// unless given.
    pub compartment: Option<String>,
    /// `sealed`: whether that keeps the water out whatever happens.
    pub sealed: bool,
}

/// `hinge` of a lifted panel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Hinge {
    /// Its after side, or that to port where the skin faces along the boat.
    Aft,
    /// Its forward side.
    Forward,
    /// Its port side, or the upper one of a panel in the hull's side.
    Port,
    /// Its starboard side, or the lower one.
    Starboard,
}

/// What a built part is laid up of where nothing is said: three layers of 200 g/m² with as
/// much resin (ours).
pub(super) fn usual_laminate() -> Skin {
    super::layup::laid_up(
        Quantity::exact(0.2),
        3.0,
        super::layup::USUAL_RESIN,
        [super::layup::E_GLASS, super::layup::EPOXY],
    )
}

/// The shape under one of [`KEYS`].
pub(super) fn built(part: &mut Fields<'_, '_>, key: &'static str) -> Option<Built> {
    let mut fields = part.table(key)?;
    let built = match key {
        "deck" => deck(&mut fields).map(Built::Deck),
        "bulkhead" => bulkhead(&mut fields).map(Built::Bulkhead),
        "sponson" => sponson(&mut fields).map(Built::Sponson),
        "skeg" => skeg(&mut fields).map(Built::Skeg),
        "filling" => filling(&mut fields).map(Built::Filling),
        "pocket" => pocket(&mut fields).map(Built::Pocket),
        _ => lifted(&mut fields).map(Built::Lifted),
    };
    fields.finish();
    built
}

/// A built part adds to the hull, by its place on it, and is laid up or weighed; foam only
/// where it has a volume of its own.
pub(super) fn check(
    fields: &mut Fields<'_, '_>,
    built: &Built,
    role: Role,
    weight: &Weight,
) -> Option<()> {
    if fields.has("at") {
        let help = "its own numbers say where on the hull it is";
        fields.misplaced("at", "given", "left out of a part made from the hull", help);
        return None;
    }
    let of_shape = KEYS
        .iter()
        .find(|key| fields.has(key))
        .map(|key| role_of(key));
    if of_shape != Some(role) {
        let node = fields.node("role")?;
        let help = "its shape says what it does to the hull: take `role` out";
        fields.out_of_range("role", node, "another".into(), "left out", help);
        return None;
    }
    let has_foam = matches!(weight, Weight::Foam(_));
    if matches!(built, Built::Filling(_)) && !has_foam {
        fields.missing(&["foam"], "foam = { density = \"32 kg/m3\" }");
        return None;
    }
    if matches!(
        built,
        Built::Deck(_) | Built::Bulkhead(_) | Built::Pocket(_) | Built::Lifted(_)
    ) && has_foam
    {
        let help = "it is a sheet: give its laminate, skin or mass";
        fields.misplaced("foam", "given", "left out here", help);
        return None;
    }
    Some(())
}

/// What a part of the shape under one of [`KEYS`] does to the hull.
pub(super) fn role_of(key: &str) -> Role {
    match key {
        "pocket" => Role::Recess,
        _ => Role::Add,
    }
}

impl Built {
    /// Whether it is a sheet or has a skin, so that a usual laminate can be taken for it.
    pub(super) fn is_laid_up(&self) -> bool {
        !matches!(self, Self::Filling(_))
    }
}

fn filling(fields: &mut Fields<'_, '_>) -> Option<Filling> {
    let ends = ends(fields);
    let heights = ["above", "below"].map(|key| fields.quantity(key));
    let sides = ["port_of", "starboard_of"].map(|key| fields.quantity(key));
    let clear = fields.quantity("clear").unwrap_or(Quantity::exact(0.0));
    let sheet = fields.quantity("sheet");
    for ([low, high], keys) in [
        (heights, ["above", "below"]),
        (sides, ["port_of", "starboard_of"]),
    ] {
        if let (Some(low), Some(high)) = (low, high)
            && low.value >= high.value
            && let Some(node) = fields.node(keys[1])
        {
            let rule = format!("more than `{}`, {}", keys[0], metres(&low));
            let help = "y grows to port, z up";
            fields.out_of_range(keys[1], node, metres(&high), &rule, help);
            return None;
        }
    }
    Some(Filling {
        ends: ends?,
        heights,
        sides,
        clear,
        sheet,
    })
}

fn pocket(fields: &mut Fields<'_, '_>) -> Option<Pocket> {
    let on_skin = match fields.one_way(&[&["diameter"], &["length", "height", "corner"]]) {
        Way::None => {
            fields.missing(
                &["diameter", "length"],
                "diameter = \"20 cm\", or length and height",
            );
            None
        }
        Way::Several => None,
        Way::One(0) => super::shapes::round_on_skin(fields),
        Way::One(_) => super::shapes::rectangle_on_skin(fields),
    };
    let depth = fields.required_quantity("depth");
    Some(Pocket {
        on_skin: on_skin?,
        depth: depth?,
    })
}

fn lifted(fields: &mut Fields<'_, '_>) -> Option<Lifted> {
    let panel = super::shapes::rectangle_on_skin(fields);
    let hinge = fields.choice("hinge", &HINGES);
    if !fields.has("hinge") {
        fields.missing(&["hinge"], "hinge = \"aft\"");
    }
    let way = fields.one_way(&[&["angle"], &["height_up"]]);
    let [angle_given, up_given] = ["angle", "height_up"].map(|key| fields.quantity(key));
    let closed = fields.flag("closed").unwrap_or(false);
    let compartment = fields.text("compartment").map(str::to_owned);
    let sealed = sealed(fields, compartment.is_some());
    let (panel, hinge) = (panel?, hinge?);
    let Outlined::Rectangle { length, height, .. } = panel.outlined else {
        return None;
    };
    let reach = match hinge {
        Hinge::Aft | Hinge::Forward => length.value,
        Hinge::Port | Hinge::Starboard => height.value,
    };
    let (key, angle) = match way {
        Way::None => {
            let example = "angle = \"20 deg\", or height_up = \"12 cm\"";
            fields.missing(&["angle", "height_up"], example);
            return None;
        }
        Way::Several => return None,
        Way::One(0) => ("angle", angle_given?),
        Way::One(_) => {
            let up = up_given?;
            let angle = (up.value / reach).asin().to_degrees();
            ("height_up", Quantity::exact(angle))
        }
    };
    // Not a number where it is higher than the panel is long.
    let is_turned = angle.value <= 90.0;
    if !is_turned && let Some(node) = fields.node(key) {
        let long = metres(&Quantity::exact(reach));
        let rule = format!("no more than upright: 90°, or as high as the panel is long, {long}");
        let help = "it turns about its hinge";
        fields.out_of_range(key, node, "more".into(), &rule, help);
        return None;
    }
    Some(Lifted {
        panel,
        hinge,
        angle,
        closed: closed || compartment.is_some(),
        compartment,
        sealed: sealed || closed,
    })
}

fn deck(fields: &mut Fields<'_, '_>) -> Option<Deck> {
    let over = fields.required_text("over").map(str::to_owned);
    let ends = ["aft", "forward"].map(|key| fields.quantity(key));
    let in_order = match ends {
        [Some(aft), Some(forward)] => in_order(fields, [aft, forward]),
        _ => Some(()),
    };
    let [camber, crown] =
        ["camber", "crown"].map(|key| fields.quantity(key).unwrap_or(Quantity::exact(0.0)));
    let bulkhead = fields.flag("bulkhead").unwrap_or(false);
    let compartment = fields.text("compartment").map(str::to_owned);
    let sealed = sealed(fields, compartment.is_some());
    in_order?;
    if compartment.is_some() && !bulkhead {
        fields.missing(
            &["bulkhead"],
            "bulkhead = true, without which nothing closes the space under the deck",
        );
        return None;
    }
    if bulkhead && ends.iter().all(Option::is_none) {
        let example =
            "the station where the deck stops, for example aft = { from_stem = \"80 cm\" }";
        fields.missing(&["aft", "forward"], example);
        return None;
    }
    Some(Deck {
        over: over?,
        ends,
        camber,
        crown,
        bulkhead,
        compartment,
        sealed,
    })
}

fn bulkhead(fields: &mut Fields<'_, '_>) -> Option<Bulkhead> {
    let station = fields.required_quantity("station");
    let compartment = fields.text("compartment").map(str::to_owned);
    let sealed = sealed(fields, compartment.is_some());
    let is_forward = fields.choice("closes", &super::keys::ENDS);
    let closes = match (compartment, is_forward) {
        (Some(name), Some(forward)) => Some((name, forward)),
        (Some(_), None) => {
            if !fields.has("closes") {
                fields.missing(&["closes"], "closes = \"aft\", or \"forward\"");
            }
            return None;
        }
        (None, Some(_)) => {
            fields.missing(&["compartment"], "compartment = \"stern\"");
            return None;
        }
        (None, None) => None,
    };
    Some(Bulkhead {
        station: station?,
        closes,
        sealed,
    })
}

/// `sealed`, beside the name of a compartment.
fn sealed(fields: &mut Fields<'_, '_>, has_compartment: bool) -> bool {
    let sealed = fields.flag("sealed").unwrap_or(false);
    if sealed && !has_compartment {
        fields.missing(
            &["compartment"],
            "compartment = \"bow locker\", which is sealed",
        );
    }
    sealed
}

fn sponson(fields: &mut Fields<'_, '_>) -> Option<Sponson> {
    let ends = ends(fields);
    let middle = fields.required_quantity("middle");
    let section = fields.choice("section", &SECTIONS);
    let section = section.unwrap_or(SponsonSection::Round);
    let width = fields.required_quantity("width");
    let height = fields.quantity("height");
    if section == SponsonSection::Round && height.is_some() {
        let help = "a round one is as high as it is wide; section = \"box\" has a height";
        fields.misplaced("height", "of a round sponson", "left out", help);
    }
    let offset = fields.quantity("offset").unwrap_or(Quantity::exact(0.0));
    let sides = fields.choice("side", &SIDES);
    let width = width?;
    Some(Sponson {
        ends: ends?,
        middle: middle?,
        section,
        width,
        height: height.unwrap_or(width),
        offset,
        sides: sides.unwrap_or(SponsonSides::Both),
    })
}

fn skeg(fields: &mut Fields<'_, '_>) -> Option<Skeg> {
    let ends = ends(fields);
    let [depth, width] = ["depth", "width"].map(|key| fields.required_quantity(key));
    let off_middle = fields.quantity("off_middle");
    Some(Skeg {
        ends: ends?,
        depth: depth?,
        width: width?,
        off_middle,
    })
}

fn ends(fields: &mut Fields<'_, '_>) -> Option<[Quantity; 2]> {
    let [aft, forward] = ["aft", "forward"].map(|key| fields.required_quantity(key));
    let ends = [aft?, forward?];
    in_order(fields, ends)?;
    Some(ends)
}

fn in_order(fields: &mut Fields<'_, '_>, [aft, forward]: [Quantity; 2]) -> Option<()> {
    if aft.value < forward.value {
        return Some(());
    }
    let node = fields.node("forward")?;
    let rule = format!("more than `aft`, {}", metres(&aft));
    let help = "x grows towards the bow";
    fields.out_of_range("forward", node, metres(&forward), &rule, help);
    None
}

/// The compartment that a part makes, if it does.
pub(super) fn space_of(part: &str, built: &Built, place: &Place) -> Option<Compartment> {
    let across = |[lower, upper]: [Option<Quantity>; 2]| Extent::Between {
        lower: [lower, None, None],
        upper: [upper, None, None],
    };
    let (name, sealed, extent) = match built {
        Built::Deck(deck) => (deck.compartment.clone()?, deck.sealed, across(deck.ends)),
        Built::Lifted(panel) => {
            let name = panel.compartment.clone();
            let under = Extent::Under(part.to_owned());
            let name = panel
                .closed
                .then(|| name.unwrap_or_else(|| part.to_owned()));
            (name?, panel.sealed, under)
        }
        Built::Bulkhead(bulkhead) => {
            let (name, forward) = bulkhead.closes.clone()?;
            let station = Some(bulkhead.station);
            let bounds = match forward {
                true => [station, None],
                false => [None, station],
            };
            (name, bulkhead.sealed, across(bounds))
        }
        _ => return None,
    };
    Some(Compartment {
        name,
        extent,
        permeability: None,
        sealed,
        free_flooding: !sealed,
        flooded: false,
        fill: None,
        place: place.clone(),
    })
}
