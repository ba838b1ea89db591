//! Reading of `[[item]]`.
use super::{Bulk, Item, Person, Point};
use super::{inside, item_gas};
use crate::boat::fields::{Fields, Way};
use crate::quantity::Quantity;

/// Reads one item.
pub(super) fn item(fields: &mut Fields<'_, '_>) -> Option<Item> {
    let name = fields.required_text("name").map(str::to_owned);
    let mass = fields.required_quantity("mass");
    let at: Option<Point> = fields.required_triple("at");
    let bulk = match fields.one_way(&[&["volume"], &["density"]]) {
        Way::None | Way::Several => None,
        Way::One(0) => fields.quantity("volume").map(Bulk::Volume),
        Way::One(_) => fields.quantity("density").map(Bulk::Density),
    };
    let size = fields.triple("size");
    let sealed = fields.flag("sealed").unwrap_or(false);
    let volume_at = fields.triple("volume_at");
    let cylinder = item_gas::cylinder(fields);
    let gives = item_gas::gives(fields, mass.as_ref(), bulk.as_ref());
    let compartment = fields.text("compartment").map(str::to_owned);
    let liquid = inside::liquid(fields);
    let person = person(fields);
    let fits = inside::fits(fields, liquid, size.as_ref());
    Some(Item {
        name: name?,
        mass: mass?,
        at: at?,
        bulk,
        size,
        sealed,
        volume_at,
        cylinder,
        gives,
        compartment,
        liquid: liquid.filter(|_| fits),
        person,
        place: fields.place().clone(),
    })
}

/// Height of a seated head's top over the body's centre of gravity, m: between the
/// 0.67 m sitting on a chair and the 0.59 m with the thighs raised of 66 men in
/// *Moments of Inertia and Centers of Gravity of the Living Human Body*
/// (AMRL-TDR-63-36, 1963; its abstract read, these figures from memory).
const SEATED_HEAD_M: f64 = 0.65;

/// Reads `person` and `head` of an item.
fn person(fields: &mut Fields<'_, '_>) -> Option<Person> {
    let is_person = fields.flag("person").unwrap_or(false);
    let head = fields.quantity("head");
    if !is_person && head.is_some() {
        fields.missing(
            &["person"],
            "person = true: `head` is how far the top of a person's head is over `at`",
        );
        return None;
    }
    is_person.then(|| Person {
        head: head.unwrap_or(Quantity::exact(SEATED_HEAD_M)),
    })
}
