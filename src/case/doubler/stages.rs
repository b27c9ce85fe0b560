//! Stages that join a doubler and take it off.

use crate::case::border::unknown_word;
use crate::case::complaint::{Complaint, Kind};
use crate::case::doubler::fastening::{Fastening, Flexibility};
use crate::case::doubler::sketch::Sketch;
use crate::case::pin;
use crate::case::stages::Reader;
use crate::case::table::Table;
use crate::case::tooling::STEEL;
use crate::geometry::arc::apart;
use crate::process::doubler::{Doubler, Fastener, Filling};
use crate::process::stage::Stage;
use crate::theory::fastener::{Shank, Sheet};

/// Centres this close, over a diameter, are one.
const CONCENTRIC: f64 = 1e-9;

impl Reader<'_> {
    /// The doubler that a key names, by its place.
    fn doubler(&self, table: &Table<'_>, key: &'static str) -> Result<usize, Complaint> {
        let names: Vec<&str> = self.doublers.iter().map(|sketch| sketch.name.as_str()).collect();
        let word = table.text(key)?.ok_or_else(|| table.missing(key, "name a doubler"))?;
        names
            .iter()
            .position(|name| *name == word.value)
            .ok_or_else(|| unknown_word(table, &word, "doubler of this case", &names))
    }

    pub(in crate::case) fn read_join(&mut self, table: &Table<'_>) -> Result<Stage, Complaint> {
        let place = self.doubler(table, "join")?;
        let sketches = self.doublers;
        let sketch = &sketches[place];
        let complain = |problem: String, remedy: &str| {
            let span = table.key_span("join");
            Err(table.source.complain(&span, "join", Kind::Sequence, problem, remedy))
        };
        if self.joined.contains(&place) {
            let problem = format!("doubler `{}` is joined already", sketch.name);
            return complain(problem, "take it off first with a stage `detach`");
        }
        for &hole in sketch.fastening.iter().flat_map(|fastening| &fastening.holes) {
            let name = &self.plate.holes[hole].name;
            if self.standing[hole].fastened {
                let problem = format!(
                    "hole `{name}`, for a fastener of doubler `{}`, has a pin in it",
                    sketch.name
                );
                return complain(problem, "take it out first: a doubler brings its own");
            }
            let (axis, drilled) = (self.standing[hole].axis, self.plate.holes[hole].centre);
            if apart(axis, drilled) > CONCENTRIC * self.standing[hole].nominal {
                let problem = format!("hole `{name}` was reamed off its drilled centre");
                return complain(
                    problem,
                    "ream without `offset`: the hole of the doubler is drawn there",
                );
            }
        }
        let mut fasteners = vec![];
        if let Some(fastening) = &sketch.fastening {
            for &hole in &fastening.holes {
                fasteners.push(self.fastener(sketch, fastening, hole)?);
                self.standing[hole].fastened = true;
            }
        }
        self.joined.push(place);
        self.ever_joined[place] = true;
        let own = sketch.metal.as_ref();
        let doubler = Doubler {
            name: sketch.name.clone(),
            outline: sketch.outline.clone(),
            thickness: f64::from(sketch.faces) * sketch.thickness,
            material: own.map_or(self.material, |metal| &metal.material).clone(),
            thermal_expansion: match own {
                Some(metal) => metal.expansion,
                None => self.expansion,
            },
            material_name: own.map_or_else(String::new, |metal| metal.name.clone()),
            along: sketch.along,
            bond: sketch.bond,
            fasteners,
        };
        self.joins.push((place, doubler.thermal_expansion));
        Ok(Stage::Join { doubler: Box::new(doubler) })
    }

    fn fastener(
        &self,
        sketch: &Sketch<'_>,
        fastening: &Fastening,
        hole: usize,
    ) -> Result<Fastener, Complaint> {
        let nominal = self.standing[hole].nominal;
        let table = &sketch.table;
        let name = &self.plate.holes[hole].name;
        let (pin_diameter, elastic) = pin::read_pin(table, nominal, name, self.border)?;
        let hole_diameter = fastening.hole_diameter.unwrap_or(nominal);
        // In either hole it is a pin and no mandrel.
        pin::read_pin(table, hole_diameter, name, self.border)?;
        let (modulus, poissons_ratio) = elastic.unwrap_or(STEEL);
        let region = self
            .regions
            .iter()
            .rfind(|region| region.outline.surrounds(self.plate.holes[hole].centre));
        let metal = region.and_then(|region| region.material.as_ref()).unwrap_or(self.material);
        let own = sketch.metal.as_ref().map_or(self.material, |metal| &metal.material);
        let plate = Sheet {
            thickness: region.and_then(|r| r.thickness).unwrap_or(self.plate.thickness),
            modulus: metal.elasticity.youngs_modulus,
        };
        let sheet = Sheet { thickness: sketch.thickness, modulus: own.elasticity.youngs_modulus };
        let diameter = pin_diameter.unwrap_or(nominal);
        let shank = Shank { diameter, modulus, poissons_ratio, shears: sketch.faces };
        let flexibility = match fastening.flexibility {
            Flexibility::Given(given) => given,
            Flexibility::By(formula) => {
                formula.flexibility(plate, sheet, shank, fastening.filling == Filling::Contact)
            }
        };
        let filling = fastening.filling;
        Ok(Fastener { hole, hole_diameter, pin_diameter, elastic, flexibility, filling })
    }

    pub(in crate::case) fn read_detach(&mut self, table: &Table<'_>) -> Result<Stage, Complaint> {
        let place = self.doubler(table, "detach")?;
        let sketch = &self.doublers[place];
        if !self.joined.contains(&place) {
            let problem = format!("doubler `{}` does not lie on the plate", sketch.name);
            let remedy = "join it before with a stage `join`";
            let span = table.key_span("detach");
            return Err(table.source.complain(&span, "detach", Kind::Sequence, problem, remedy));
        }
        self.joined.retain(|other| *other != place);
        for &hole in sketch.fastening.iter().flat_map(|fastening| &fastening.holes) {
            self.standing[hole].fastened = false;
        }
        Ok(Stage::Detach { doubler: sketch.name.clone() })
    }

    /// Refuses work on a hole while a doubler lies on the plate.
    pub(in crate::case) fn check_uncovered(
        &self,
        table: &Table<'_>,
        key: &'static str,
    ) -> Result<(), Complaint> {
        let Some(&place) = self.joined.first() else { return Ok(()) };
        let problem = format!(
            "a hole cannot be worked while doubler `{}` lies on the plate",
            self.doublers[place].name
        );
        let remedy = "take it off first with a stage `detach`, or join it later";
        let span = table.key_span(key);
        Err(table.source.complain(&span, key, Kind::Sequence, problem, remedy))
    }

    /// The doubler whose fastener is in a hole.
    pub(in crate::case) fn doubler_at(&self, hole: usize) -> Option<&str> {
        let here = |sketch: &&Sketch<'_>| {
            sketch.fastening.as_ref().is_some_and(|own| own.holes.contains(&hole))
        };
        let joined = self.joined.iter().map(|&place| &self.doublers[place]);
        joined.filter(|sketch| here(sketch)).map(|sketch| sketch.name.as_str()).next()
    }
}
