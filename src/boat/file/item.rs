//! Reading of `[[item]]`.
use super::{Bulk, Item, Point};
use super::{inside, item_gas};
use crate::boat::fields::{Bare, Bound, Fields, TableKeys, Way};
use crate::quantity::Dimension;

pub(super) static ITEM: TableKeys = TableKeys {
    title: "[[item]]",
    keys: &[
        "name",
        "mass",
        "at",
        "volume",
        "density",
        "size",
        "sealed",
        "volume_at",
        "cylinder",
        "gas_volume",
        "stiffness",
        "compartment",
        "liquid",
    ],
};

/// Reads one item.
pub(super) fn item(fields: &mut Fields<'_, '_>) -> Option<Item> {
    let name = fields
        .required_text("name", "name = \"battery\"")
        .map(str::to_owned);
    let mass = fields.required_quantity("mass", Dimension::Mass, Bound::Positive, Bare::Allowed);
    let at: Option<Point> = fields.required_triple("at", Bound::Any);
    let bulk = match fields.one_way(&[&["volume"], &["density"]]) {
        Way::None | Way::Several => None,
        Way::One(0) => fields
            .quantity("volume", Dimension::Volume, Bound::Positive, Bare::Allowed)
            .map(Bulk::Volume),
        Way::One(_) => fields
            .quantity(
                "density",
                Dimension::Density,
                Bound::Positive,
                Bare::Allowed,
            )
            .map(Bulk::Density),
    };
    let size = fields.triple("size", Bound::Positive);
    let sealed = fields.flag("sealed").unwrap_or(false);
    let volume_at = fields.triple("volume_at", Bound::Any);
    let cylinder = item_gas::cylinder(fields);
    let gives = item_gas::gives(fields, mass.as_ref(), bulk.as_ref());
    let compartment = fields
        .text("compartment", "compartment = \"bow locker\"")
        .map(str::to_owned);
    let liquid = inside::liquid(fields);
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
        place: fields.place().clone(),
    })
}
