//! Reading of `[[part]]`.
use super::built;
use super::keys::ROLES;
use super::layup;
use super::shapes;
use super::{Foot, Part, Role, Shape, Wall, Weight};
use crate::boat::fields::{Fields, Way};
use crate::boat::overlay::cover_of;
use crate::quantity::Quantity;

pub(super) fn part(fields: &mut Fields<'_, '_>) -> Option<Part> {
    let built = built::KEYS.iter().find(|key| fields.has(key));
    let role = match (built, fields.has("role")) {
        (Some(key), false) => Some(built::role_of(key)),
        // A wall is only ever added.
        (None, false) if fields.has("wall") => Some(Role::Add),
        _ => role(fields),
    };
    // A cover may go by what it covers.
    let name = match (role, fields.has("name")) {
        (Some(Role::Cover), false) => fields.text("covers").map(cover_of),
        _ => fields.required_text("name").map(str::to_owned),
    };
    let is_skinned = ["skin", "laminate", "foam"]
        .iter()
        .any(|key| fields.has(key));
    let shape = shape(fields, role == Some(Role::Cover) && !is_skinned);
    let at = fields.triple("at").unwrap_or([Quantity::exact(0.0); 3]);
    let weight = shapes::weight(fields, false);
    let covers = covers(fields, role);
    let (role, shape, mut weight) = (role?, shape?, weight?);
    let mut laid_up_as_usual = false;
    let can_be_laid_up = match &shape {
        Shape::Wall(_) => true,
        Shape::Built(built) => built.is_laid_up(),
        _ => false,
    };
    if can_be_laid_up && weight == Weight::Unknown {
        laid_up_as_usual = true;
        weight = Weight::Skin(built::usual_laminate());
    }
    match &shape {
        Shape::Wall(wall) => check_wall(fields, wall, role, &weight)?,
        Shape::Built(built) => built::check(fields, built, role, &weight)?,
        _ => {}
    }
    Some(Part {
        name: name?,
        role,
        shape,
        at,
        weight,
        laid_up_as_usual,
        covers,
        place: fields.place().clone(),
    })
}

/// Keys of shapes that are given rather than made from the hull.
const GIVEN: [&str; 5] = ["mesh", "box", "cylinder", "outline", "wall"];

/// The shape; a cover that is only weighed needs none.
fn shape(fields: &mut Fields<'_, '_>, lies_on_rim: bool) -> Option<Shape> {
    let keys: Vec<&'static str> = GIVEN.into_iter().chain(built::KEYS).collect();
    let ways: Vec<&[&'static str]> = keys.iter().map(std::slice::from_ref).collect();
    fields.drop_outdated("units", &ways[1..]);
    match fields.one_way(&ways) {
        Way::None if lies_on_rim => Some(Shape::OnRim),
        Way::None => {
            fields.missing(&keys, "a shape, for example mesh = \"wall.stl\"");
            None
        }
        Way::Several => None,
        Way::One(0) => shapes::mesh(fields).map(|(path, _)| Shape::Mesh {
            path,
            units: shapes::units(fields),
        }),
        Way::One(1) => shapes::box_shape(fields).map(Shape::Box),
        Way::One(2) => shapes::cylinder(fields).map(Shape::Cylinder),
        Way::One(3) => layup::outline(fields).map(Shape::Outline),
        Way::One(4) => layup::wall(fields).map(Shape::Wall),
        Way::One(way) => built::built(fields, keys[way]).map(Shape::Built),
    }
}

/// A wall is added, and is as thick as what it is made of.
fn check_wall(fields: &mut Fields<'_, '_>, wall: &Wall, role: Role, weight: &Weight) -> Option<()> {
    if matches!(wall.foot, Foot::Round(_)) && fields.has("at") {
        let help = "the opening is where it is";
        let rule = "left out where the wall goes round an opening";
        fields.misplaced("at", "given", rule, help);
        return None;
    }
    if role != Role::Add {
        let node = fields.node("role")?;
        let help = "a wall stands on the hull; for a lid or a skeg give its mesh or box";
        fields.out_of_range(
            "role",
            node,
            "not \"add\"".into(),
            "\"add\" for a `wall`",
            help,
        );
        return None;
    }
    if !matches!(weight, Weight::Skin(_)) {
        fields.missing(
            &["laminate", "skin"],
            "what the wall is made of, for its mass and thickness: laminate = { cloth = \"200 g/m2\", layers = 3, resin = 1.0 }",
        );
        return None;
    }
    Some(())
}

/// The opening that a cover closes; only a cover closes one.
fn covers(fields: &mut Fields<'_, '_>, role: Option<Role>) -> Option<String> {
    if role == Some(Role::Cover) {
        return fields.required_text("covers").map(str::to_owned);
    }
    let covers = fields.text("covers").map(str::to_owned);
    if covers.is_some() && role.is_some() {
        let help = "only a part with role = \"cover\" closes an opening";
        fields.misplaced("covers", "on another part", "on a cover", help);
    }
    covers
}

fn role(fields: &mut Fields<'_, '_>) -> Option<Role> {
    if fields.has("covers") && !fields.has("role") {
        return Some(Role::Cover);
    }
    fields.required("role", "role = \"add\" or role = \"recess\"")?;
    fields.choice("role", &ROLES)
}
