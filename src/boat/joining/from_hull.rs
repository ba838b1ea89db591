//! Parts made from the hull, and walls round its openings.
use super::{Made, WithParts, plate_of, standing};
use crate::boat::built::{self, CannotBuild};
use crate::boat::envelope::{AreaMoment, Envelope, FaceSource, Joinable, LaidUp, Operation};
use crate::boat::file::{self, BoatFile, Built, Mark, Weight};
use crate::boat::load::marked_rim;
use crate::boat::on_skin::{self, Cut, Raised};
use crate::boat::walls::{Rise, WallFoot, raised, standing_round, strip_round};
use crate::boat::{BoatError, FoamBlock, PartSheet, SheetLies};
use crate::mesh::{self, Doubt, DoubtKind, Surface, solids};
use crate::numerics::Vec3;
use crate::quantity::{litres, mm, sentence};

/// How level the rim of a hole must lie for a wall to go round it: within 60° of level. Ours.
const LEAST_LEVELNESS: f64 = 0.5;
/// Pockets that share no more than this only touch, m³.
const SHARED_M3: f64 = 1e-7;
/// A lifted panel's skin is told to be off flat by more than this, m. Ours.
const TOLD_BULGE_M: f64 = 0.001;
/// Skin covered by no more than this is none of a lifted panel: the rounding of sums, m².
const NO_PANEL_M2: f64 = 1e-9;

impl WithParts {
    /// The cap over an opening that is an open edge of the hull or the top of a wall.
    fn cap_of(&self, file: &BoatFile, name: &str) -> Option<FaceSource> {
        let opening = file.openings.iter().find(|o| o.name == name)?;
        let cap = match opening.mark.as_ref()? {
            Mark::Loop(number) => u32::try_from(*number - 1).ok(),
            Mark::Wall(name) => {
                let top = self.wall_tops.iter().find(|(wall, _)| wall == name);
                top.map(|(_, cap)| *cap)
            }
            _ => None,
        };
        cap.map(FaceSource::Cap)
    }

    /// Makes a part from the hull as the parts before it left that.
    pub(super) fn build(
        &mut self,
        file: &BoatFile,
        part: &file::Part,
        index: u32,
        built: &Built,
        doubts: &mut Vec<Doubt>,
    ) -> Result<Made, BoatError> {
        let cannot = |source: CannotBuild| BoatError::CannotBuild {
            name: part.name.clone(),
            place: part.place.clone(),
            source,
        };
        let before = self.envelope.envelope();
        let runs = self.envelope.runs();
        let mut sheets = Vec::new();
        let solid = match built {
            Built::Deck(deck) => {
                let no_edge = || CannotBuild::NoEdge(deck.over.clone());
                let cap = self.cap_of(file, &deck.over).ok_or_else(no_edge);
                let source = FaceSource::Part(index);
                let laid = cap.and_then(|cap| built::laid(before, cap, deck, source));
                let laid = laid.map_err(cannot)?;
                // A flat one has no volume to have a middle.
                let centroid_m = laid.sheet.centroid_m().unwrap_or_default();
                return Ok(Made {
                    centroid_m,
                    ..self.replaced(part, laid)
                });
            }
            Built::Bulkhead(bulkhead) => {
                let across = built::across(before, bulkhead.station.value);
                let (sheet, curves) = across.map_err(cannot)?;
                // It stands inside: the envelope is what it was.
                let mut made = Made::of_solid(&Surface::default());
                made.centroid_m = sheet.centroid_m().unwrap_or_default();
                made.plate = plate_of(part, &sheet);
                made.sheets = vec![PartSheet::bulkhead("bulkhead", curves)];
                return Ok(made);
            }
            Built::Filling(filling) => {
                let foams = self.made.iter().filter_map(|made| made.foam.as_ref());
                let foams: Vec<&Surface> = foams.collect();
                let solid = built::filling(&self.envelope, filling, &file.items, &foams);
                let (solid, glassed) = solid.map_err(cannot)?;
                let mut made = Made::of_solid(&solid);
                made.glassed = Some(glassed);
                let density_kg_m3 = match &part.weight {
                    Weight::Foam(foam) => foam.density.value,
                    _ => 0.0, // refused when the file was read
                };
                made.block = Some(FoamBlock {
                    solid: solid.clone(),
                    sheet_m: filling.sheet.map(|sheet| sheet.value),
                    density_kg_m3,
                });
                made.foam = Some(solid);
                return Ok(made);
            }
            Built::Lifted(panel) => {
                let lifted = on_skin::lifted(before, runs, panel).map_err(CannotBuild::from);
                let lifted = lifted.map_err(cannot)?;
                return self.lift(file, part, index, lifted, panel.closed, doubts);
            }
            Built::Sponson(sponson) => built::sponson(before, sponson).map_err(cannot)?,
            Built::Skeg(skeg) => built::skeg(before, skeg, self.middle_y_m).map_err(cannot)?,
            Built::Pocket(pocket) => {
                let cut = self.cut_of(pocket).map_err(cannot)?;
                sheets = vec![
                    PartSheet::outside("floor", cut.pattern.clone()),
                    PartSheet::outside(
                        "sides",
                        SheetLies::Standing(strip_round(&cut.floor, &cut.rim)),
                    ),
                ];
                let room = room_of(&cut);
                let shared = self.shared_with(&room).into_iter();
                doubts.extend(shared.map(|(other, m3)| doubt_of_pockets(part, other, m3)));
                doubts.extend(self.foam_cut(file, part, &room));
                self.before_pockets
                    .get_or_insert_with(|| self.envelope.clone());
                self.pockets.push((part.name.clone(), room));
                cut.solid
            }
        };
        let mut made = Made::of_solid(&solid);
        made.sheets = sheets;
        made.change = self.add(part, &Envelope::of_part(solid, index), doubts)?;
        if matches!(part.weight, Weight::Foam(_)) {
            // What reaches into the hull is only there for the joint.
            made.centroid_m = made.change.volume_centroid_m();
            made.volume_m3 = made.change.signed_volume_m3();
            made.foam = Some(made.change.clone());
        }
        Ok(made)
    }

    /// A pocket, drawn on the skin as it is; one that runs into pockets before it, which have
    /// taken that away, on the skin as it was without them.
    fn cut_of(&self, pocket: &file::Pocket) -> Result<Cut, CannotBuild> {
        let depth_m = pocket.depth.value;
        let drawn = |hull: &Joinable| {
            on_skin::pocket(hull.envelope(), hull.runs(), &pocket.on_skin, depth_m)
        };
        let without = self.before_pockets.as_ref();
        let as_before = without.and_then(|hull| drawn(hull).ok());
        let runs_over = |cut: &Cut| !self.shared_with(&room_of(cut)).is_empty();
        let cut = match (as_before, drawn(&self.envelope)) {
            // One that only touches another may not be drawn beside it either.
            (Some(before), now) if now.is_err() || runs_over(&before) => before,
            (_, now) => now?,
        };
        let is_inside =
            |p: &Vec3| self.envelope.encloses(p) || without.is_some_and(|hull| hull.encloses(p));
        match cut.floor.iter().find(|p| !is_inside(p)) {
            Some(out) => Err(CannotBuild::Through((*out).into())),
            None => Ok(cut),
        }
    }

    /// The pockets into which the room of another runs, and what they share, m³.
    fn shared_with(&self, room: &Surface) -> Vec<(&str, f64)> {
        let others = self.pockets.iter();
        let shared = others.filter_map(|(name, other)| Some((name.as_str(), shared(room, other)?)));
        shared.collect()
    }

    /// The doubts of a pocket that takes of the foam of parts before it.
    fn foam_cut(&self, file: &BoatFile, part: &file::Part, room: &Surface) -> Vec<Doubt> {
        let foams = file.parts.iter().zip(&self.made);
        let cut = foams.filter_map(|(foamed, made)| {
            let shared_m3 = shared(room, made.foam.as_ref()?)?;
            Some(doubt_of_foam(part, foamed, shared_m3))
        });
        cut.collect()
    }

    /// The doubts of items that stand through the wall of a pocket: partly in it, partly in
    /// the hull.
    pub(in crate::boat) fn items_in_pockets(&self, file: &BoatFile) -> Vec<Doubt> {
        let sized = file.items.iter().filter_map(|item| {
            let (middle, half) = item.box_m()?;
            Some((item, solids::cuboid(middle - half, middle + half)))
        });
        let mut doubts = Vec::new();
        for (item, solid) in sized {
            for (pocket, room) in &self.pockets {
                let Some(shared_m3) = shared(room, &solid) else {
                    continue;
                };
                let solid = Envelope::of_part(solid.clone(), 0);
                let left = self.envelope.combine(&solid, Operation::Keep);
                let left = left.map(|left| left.envelope().surface.signed_volume_m3());
                if left.is_ok_and(|m3| m3 > SHARED_M3) {
                    doubts.push(doubt_of_item(item, pocket, shared_m3));
                }
            }
        }
        doubts
    }

    /// Joins what a lifted panel raises; the panel takes its mass up with it.
    fn lift(
        &mut self,
        file: &BoatFile,
        part: &file::Part,
        index: u32,
        lifted: Raised,
        closed: bool,
        doubts: &mut Vec<Doubt>,
    ) -> Result<Made, BoatError> {
        if lifted.bulge_m > TOLD_BULGE_M {
            let text = sentence![
                format!(
                    "part \"{}\": its panel is taken as flat between its edges, though the skin that it is cut from is ",
                    part.name
                ),
                mm(lifted.bulge_m, 0),
                " off flat: a panel that keeps its curve encloses more or less than this, and a curved edge makes no hinge"
            ];
            doubts.push(Doubt::new(DoubtKind::Part, text));
        }
        let mut made = Made::of_solid(&lifted.solid);
        let mut sheet = AreaMoment::of(&lifted.gaps);
        if closed {
            sheet = sheet.plus(&AreaMoment::of(&lifted.floor));
        }
        made.plate = plate_of(part, &sheet);
        let before = self.buried.clone();
        let solid = Envelope::of_part(lifted.solid.clone(), index);
        made.change = self.add(part, &solid, doubts)?;
        for (source, buried) in &mut self.buried {
            let panel = buried.minus(&before.get(source).copied().unwrap_or_default());
            let Some(middle) = panel.centroid_m().filter(|_| panel.area_m2 > NO_PANEL_M2) else {
                continue;
            };
            let up = (lifted.turned(&middle) - middle) * panel.area_m2;
            buried.moment_m3 += up;
            // A sheet's mass goes by its own list.
            if let FaceSource::Part(other) = *source
                && let Some(plate) = self.made.get_mut(other as usize)
                && let Some((mass_kg, centre)) = &mut plate.plate
                && let Weight::Skin(skin) = &file.parts[other as usize].weight
            {
                *centre += up * (skin.thickness.value * skin.density.value / *mass_kg);
            }
        }
        made.sheets = vec![
            PartSheet::outside("gaps", SheetLies::Standing(lifted.gaps)),
            PartSheet::outside("panel", lifted.pattern.clone()),
        ];
        if closed {
            // It fills the hole that the panel leaves, and bends as that did.
            made.sheets
                .push(PartSheet::outside("floor", lifted.pattern));
        }
        made.room = closed.then_some(lifted.room);
        Ok(made)
    }

    /// Puts an envelope in which a part is laid up already in place of the one before it.
    fn replaced(&mut self, part: &file::Part, after: LaidUp) -> Made {
        let before = &self.envelope.envelope().surface;
        let change = mesh::change_between(before, &after.envelope.surface);
        self.envelope = Joinable::new(after.envelope);
        self.volume_m3 += change.signed_volume_m3();
        Made {
            plate: plate_of(part, &after.sheet),
            change: change.clone(),
            sheets: after.sheets,
            ..Made::of_solid(&change)
        }
    }

    pub(super) fn next_cap(&mut self) -> u32 {
        self.caps += 1;
        self.caps - 1
    }

    /// Puts a wall round an opening: its cap is lifted, or a prism put on its rim.
    pub(super) fn raise(
        &mut self,
        file: &BoatFile,
        part: &file::Part,
        index: u32,
        wall: &file::Wall,
        round: &str,
        doubts: &mut Vec<Doubt>,
    ) -> Result<Made, BoatError> {
        if wall.waits_for_rest() {
            return Err(BoatError::WaitsForRest {
                name: part.name.clone(),
                place: part.place.clone(),
            });
        }
        let rise = Rise::of(wall);
        let raised = self.cap_of(file, round).map(|cap| {
            let source = FaceSource::Part(index);
            raised(self.envelope.envelope(), cap, rise, source)
        });
        let nothing = || BoatError::NothingToRaise {
            name: part.name.clone(),
            place: part.place.clone(),
            wanted: round.to_owned(),
        };
        let Some(raised) = raised else {
            return self
                .raise_hole(file, part, index, rise, round, doubts)?
                .ok_or_else(nothing);
        };
        let raised = raised.ok_or_else(nothing)?;
        let doubled = |envelope: &Envelope| {
            mesh::audit(&envelope.surface).is_some_and(|found| found.is_doubled())
        };
        let before = self.envelope.envelope();
        if doubled(&raised.envelope) && !doubled(before) {
            doubts.push(Doubt::new(
                DoubtKind::Part,
                format!(
                    "part \"{}\": the wall passes through what stands beside the opening, and that room is counted twice",
                    part.name
                ),
            ));
        }
        Ok(self.replaced(part, raised))
    }

    /// Puts a wall round a hole in the skin that faces up; `None` where there is none.
    fn raise_hole(
        &mut self,
        file: &BoatFile,
        part: &file::Part,
        index: u32,
        rise: Rise,
        round: &str,
        doubts: &mut Vec<Doubt>,
    ) -> Result<Option<Made>, BoatError> {
        let opening = file.openings.iter().find(|o| o.name == round);
        let Some((opening, mark)) = opening.and_then(|o| Some((o, o.mark.as_ref()?))) else {
            return Ok(None);
        };
        let rim = marked_rim(&*file.from, opening, mark, &self.envelope)?;
        let faces_up = WallFoot::round(&rim).levelness() >= LEAST_LEVELNESS;
        let Some(stands) = faces_up.then(|| standing_round(&rim, rise)).flatten() else {
            return Ok(None);
        };
        let mut made = Made::of_solid(&stands.solid);
        made.plate = plate_of(part, &stands.sheet);
        made.sheets = standing(vec![stands.strip]);
        let mut solid = Envelope::of_part(stands.solid, index);
        let cap = self.next_cap();
        let first = solid.sources.len() - stands.tops;
        solid.sources[first..].fill(FaceSource::Cap(cap));
        self.coamings.push((round.to_owned(), cap));
        made.change = self.add(part, &solid, doubts)?;
        Ok(Some(made))
    }
}

/// What a pocket takes of the hull, up to its edge.
fn room_of(cut: &Cut) -> Surface {
    solids::solid_through(&[&cut.floor, &cut.rim])
}

/// What two solids share, m³; `None` where they only touch.
fn shared(one: &Surface, other: &Surface) -> Option<f64> {
    let ((lo, hi), (least, most)) = (one.bounds()?, other.bounds()?);
    if (0..3).any(|k| lo[k] >= most[k] || least[k] >= hi[k]) {
        return None;
    }
    let [one, other] = [one, other].map(|solid| Envelope::of_part(solid.clone(), 0));
    let both = one.combine(&other, Operation::Keep).ok()?;
    Some(both.surface.signed_volume_m3()).filter(|m3| *m3 > SHARED_M3)
}

/// The doubt of an item that stands through a pocket's wall.
fn doubt_of_item(item: &file::Item, pocket: &str, shared_m3: f64) -> Doubt {
    let text = sentence![
        format!(
            "part \"{pocket}\" runs into item \"{}\": by its `size` the item stands on both sides of the pocket's wall, ",
            item.name
        ),
        litres(shared_m3, 3),
        " of it in the pocket; move one, or make the pocket shallower"
    ];
    Doubt::new(DoubtKind::Place, text)
}

/// The doubt of a pocket that takes of foam before it.
fn doubt_of_foam(part: &file::Part, foamed: &file::Part, shared_m3: f64) -> Doubt {
    let text = sentence![
        format!(
            "part \"{}\" runs into the foam of part \"{}\": ",
            part.name, foamed.name
        ),
        litres(shared_m3, 3),
        match foamed.shape {
            file::Shape::Built(Built::Filling(_)) =>
                " that it takes still counts as foam there; put the pocket before the foam in the file, and the foam is fitted round it",
            _ => " that it takes still weighs as foam there; move one",
        }
    ];
    Doubt::new(DoubtKind::Part, text)
}

/// The doubt of a pocket that runs into another before it.
fn doubt_of_pockets(part: &file::Part, other: &str, shared_m3: f64) -> Doubt {
    let text = sentence![
        format!(
            "part \"{}\" runs into the pocket of part \"{other}\": they share ",
            part.name
        ),
        litres(shared_m3, 3),
        ", which is cut once, and no wall stands between them; move one, or make one pocket of both"
    ];
    Doubt::new(DoubtKind::Part, text)
}
