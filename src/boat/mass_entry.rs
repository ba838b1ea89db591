//! What weighs, as the boat file says it.
use super::envelope::{AreaMoment, FaceSource};
use super::{MassEntry, MassKind, Person, UnderWater, file};
use crate::boat::file::point_m;
use crate::numerics::Vec3;
use crate::quantity::Quantity;
use crate::water::Water;

impl MassEntry {
    pub(super) fn new(
        name: &str,
        mass: Quantity,
        centre_m: Vec3,
        given: Option<&file::Point>,
    ) -> Self {
        Self {
            name: name.to_owned(),
            kind: MassKind::Part,
            mass_kg: mass.value,
            spread_kg: mass.spread,
            centre_m,
            solid_m3: None,
            skin_of: None,
            under_water: UnderWater::default(),
            person: None,
            dry_in: None,
            centre_spread_m: given.map_or_else(Vec3::zeros, |[x, y, z]| {
                Vec3::new(x.spread, y.spread, z.spread)
            }),
        }
    }

    pub(super) fn of_item(item: &file::Item, water: &Water) -> Self {
        let person = Person::of_item(item);
        let given_m3 = item.bulk.as_ref().map(|bulk| match bulk {
            file::Bulk::Volume(volume) => volume.value,
            file::Bulk::Density(density) => item.mass.value / density.value,
        });
        let under_water = UnderWater::of_item(item);
        let empty = Self::new(&item.name, item.mass, point_m(&item.at), Some(&item.at));
        let air_kg = under_water.air.map_or(0.0, |air| air.air_kg(air.full_pa));
        let mass_kg = empty.mass_kg + air_kg;
        let of_water_m3 = person.map(|_| mass_kg / water.density_kg_m3);
        Self {
            solid_m3: given_m3.or(of_water_m3),
            mass_kg,
            under_water,
            person,
            kind: MassKind::Item,
            ..empty
        }
    }

    /// The same, of a material of one density where that is given.
    pub(super) fn of_material(self, density: Option<&Quantity>, skin_of: FaceSource) -> Self {
        Self {
            solid_m3: density.map(|density| self.mass_kg / density.value),
            skin_of: Some(skin_of),
            ..self
        }
    }

    /// The mass of a sheet of laminate, by its layup.
    pub(super) fn of_laid_up(name: &str, mass_kg: f64, centre_m: Vec3, skin: &file::Skin) -> Self {
        let share = |q: &Quantity| q.spread / q.value;
        let spread = mass_kg * share(&skin.thickness).hypot(share(&skin.density));
        let mass = Quantity {
            value: mass_kg,
            spread,
        };
        Self {
            solid_m3: Some(mass_kg / skin.density.value),
            ..Self::new(name, mass, centre_m, None)
        }
    }

    /// The mass of an even skin; `None` where there is no surface left.
    pub(super) fn of_skin(
        name: &str,
        area: &AreaMoment,
        skin: &file::Skin,
        skin_of: FaceSource,
    ) -> Option<Self> {
        let centre_m = area.centroid_m()?;
        let mass_kg = area.area_m2 * skin.thickness.value * skin.density.value;
        let share = |q: &Quantity| q.spread / q.value;
        let spread = share(&skin.thickness).hypot(share(&skin.density));
        Some(Self {
            kind: MassKind::Part,
            name: format!("{name} (skin)"),
            mass_kg,
            spread_kg: mass_kg * spread,
            centre_m,
            centre_spread_m: Vec3::zeros(),
            solid_m3: Some(area.area_m2 * skin.thickness.value),
            skin_of: Some(skin_of),
            under_water: UnderWater::default(),
            person: None,
            dry_in: None,
        })
    }
}
