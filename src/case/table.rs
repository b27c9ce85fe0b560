//! The tables of a case file as written, every value with its place, before anything is believed.
//!
//! The keys, where they stand, what they mean. Lengths in mm or in, stresses in MPa or
//! ksi, as `units` says; angles in degrees, counter-clockwise from +x.
//!
//! | table | key | meaning | default |
//! |---|---|---|---|
//! | top | `title` | what figures and tables are headed with | name of the file |
//! | | `units` | `"mm-MPa"` or `"in-ksi"`, for this file and its results | none: the numbers alone do not tell |
//! | `[plate]` | `width`, `height` | a rectangle, lower left corner at the origin | |
//! | | `outer_diameter` | a round plate about the origin, in place of width and height | |
//! | | `outline` | a plate of any shape: a list of corners in order, either way round, each `{ at = [x, y] }`; the last is joined to the first. `fillet = r` rounds the corner, `arc_through = [x, y]` makes the side that ends there an arc through that point, `name` names that side | |
//! | | `mesh` | a `.vtu` file beside the case file, in place of both; its lengths are in the unit of this file | |
//! | | `thickness` | thickness | |
//! | | `idealisation` | `"plane stress"`, `"plane strain"`, `"generalised plane strain"` | `"plane stress"` |
//! | | `alloy` | name in the alloy library | `[material]` says all |
//! | `[material]` | `youngs_modulus`, `poissons_ratio`, `yield_stress` | elastic constants, initial yield stress | those of `alloy` |
//! | | `isotropic` | `{ law = "none" }`, `"linear"` with `slope`, `"voce"` with `saturation`, `rate`, perhaps `slope`, `"ramberg-osgood"` with `exponent` (the yield stress is then the 0.2 % offset one), `"table"` with `points`, `holds`, perhaps `past_end` | that of `alloy`, or none |
//! | | `kinematic` | up to three `{ modulus, recall }`, Armstrong–Frederick terms C, γ | those of `alloy`, or none |
//! | `[[cutout]]` | `name` | name of its edge | `cutout-1`, … |
//! | | `circle`, `diameter` | a round one: centre `[x, y]` and diameter | |
//! | | `slot_from`, `slot_to`, `width` | a slot: centres of its round ends, and width | |
//! | | `outline` | any other: corners as in `[plate]` | |
//! | `[[hole]]` | `name` | letters, digits, `-`, `_`; it ends up in file names | |
//! | | `at` | `[x, y]` of the drilled centre | centre of a round plate |
//! | | `starting_diameter` | diameter before expansion | |
//! | | `paths` | directions of further stress paths | none |
//! | `[[support]]` | `edge` | edge that is held, by name: `left`, `right`, `bottom`, `top` of a rectangle, `rim` of a round plate, of an outline the names given there or `edge-1`, `corner-1`, … | free plate |
//! | | `hold` | `"normal"`: it cannot move across itself (straight edges along x or y); `"both"`: it cannot move | |
//! | `[[stage]]` | `expand` | hole to expand | |
//! | | `mandrel_diameter` | major diameter of the mandrel | |
//! | | `sleeve_thickness` | wall of the split sleeve | 0 |
//! | | `applied_expansion` | fraction of the nominal diameter (drilled, or last reamed), in place of the two above | |
//! | | `split_angle`, `split_gap` | middle and width of the open slit, seen from the hole centre | closed sleeve |
//! | | `mandrel_modulus`, `mandrel_poissons_ratio` | elasticity of the mandrel | steel, 200 GPa and 0.3, when sizes are given; else rigid |
//! | | `rigid_mandrel` | `true` for a mandrel that does not give | `false` when sizes are given |
//! | | `centre` | `"floating"` or `"held"` mandrel | `"floating"` |
//! | | `ream` | hole to ream | |
//! | | `diameter` | diameter after the cut | |
//! | | `offset` | `[dx, dy]` of the cutter from the drilled centre | `[0, 0]` |
//! | | `fasten` | hole to put a pin into; it stays until `unfasten` | |
//! | | `pin_diameter` | diameter of the pin: larger than the hole for an interference fit, smaller for play | neat fit: what the hole just takes |
//! | | `pin_modulus`, `pin_poissons_ratio` | elasticity of the pin | steel, 200 GPa and 0.3 |
//! | | `rigid_pin` | `true` for a pin that does not give | `false` |
//! | | `unfasten` | hole to take the pin out of | |
//! | | `load` | `{ tension, along }` on edges `"x"`, `"y"`, `"rim"`, or `{ tension, on }` on a list of edges by name; `{ pressure, hole }` in a hole; `{ bearing = [{ hole, force = [x, y] }] }`: the force that the pin in a hole puts on the plate, N or kip; or all of them | |
//! | | `cycles` | how often the load comes and goes | 1 |
//! | | `load_ratio` | lowest over highest load, -10 to 1: the load goes down to that share of it, and what every reversal leaves is reported | 0, without the report |
//! | | `blocks` | in place of both: a list of `{ highest, lowest, cycles }`, shares of the load from -10 to 10 | |
//! | | `spectrum` | in place of all three: a text file beside the case file, one turning point a line, as a share of the load, `#` before remarks | |
//! | | `repeats` | how often the spectrum is gone through | 1 |
//! | `[coating]` | `thickness` | thickness of a photoelastic coating on the face; with this table the run draws its fringes | no pictures |
//! | | `strain_optic_coefficient` | its strain-optic coefficient | |
//! | | `wavelength` | that orders are counted by, nanometres in either system | 575, the tint of passage |
//! | | `bonded_after` | stage it was bonded after, e.g. `"1-expand-A"`: it shows what was added since | before the work: it shows all |
//! | | `light` | `"white"` or `"monochrome"` | `"white"` |
//! | `[life]` | `load` | `{ tension, along }` or `{ tension, on }` as in a load stage: the highest remote stress; perhaps with `bearing = [{ hole, force = [x, y] }]`, forces of neat pins | |
//! | | `load_ratio` | lowest over highest load | 0 |
//! | | `blocks` | in its place: a list of `{ highest, lowest, cycles }`, shares of the load, in order and repeated | |
//! | | `spectrum` | in its place: a file beside the case file, one turning point a line as a share of the load | |
//! | | `hole` | hole the crack starts from | every hole |
//! | | `path` | directions of cracks | those across the load |
//! | | `cracks` | `"one"`, or `"two"` equal ones on opposite sides | `"one"` |
//! | | `initial_flaw` | crack length that growth starts from | |
//! | | `detectable` | smallest crack that an inspection finds | no interval |
//! | | `factor` | what lives are divided by for the interval | 3 |
//! | | `law` | growth law: `"paris"`, `"walker"`, `"forman"`, `"closure"` | first one known for the alloy |
//! | | `constants` | of that law: `{ coefficient, exponent }` and `gamma` (walker), `toughness` (forman), perhaps `threshold`; m a cycle and MPa√m, or in a cycle and ksi√in | those known for the alloy |
//! | | `toughness` | stress intensity at fracture for this thickness, MPa√m or ksi√in | apparent one of the law |
//! | | `net_section` | whether yielding of the net section ends the life | `true` |
//! | | `wanted_life` | cycles that a plain hole must reach in the trade | those of the expanded hole |
//! | | `relaxation` | whether the load is run on the residual state until the metal no longer yields, and cracks grow in what is left | `true` |
//! | | `edge_cracks` | whether cracks from a plate edge within four diameters of the hole are followed too | `true` |
//! | | `entry_share` | residual stress at the entry face over that in the middle of the thickness, for corner cracks; 0 to 1 | 0.45, drawn between 0.3 and 0.6 |
//! | | `retardation` | exponent of retardation of corner cracks by overloads | none |
//! | `[numerics]` | `fineness` | 2 halves every element, 0.25 to 8 | 1 |
//! | | `increments` | increments to full mandrel size, 4 to 2000 | 8 |
//! | | `strain_parts` | parts in which the metal follows an increment, 1 to 64 | 4 |
//! | | `strains` | `"finite"`: logarithmic, balance in the part as it stands; `"small"`: balance in the part as drawn | `"small"` |
//! | | `symmetry` | use halves and quarters where possible | `true` |
//! | | `hardening_bracket` | also run the two bounding hardening laws | `true` |
//! | | `plain_hole` | also put a load with `load_ratio`, `blocks` or `spectrum` on the same part with holes that were never worked | `true` |
//!
//! The tables are walked by hand rather than derived: a derived reader complains in the
//! words of its library and stops at the first line of a table; this one knows the place
//! of every key and value and says what was meant.
//!
//! Floor 7, `case`.

use std::ops::Range;

use toml::de::{DeArray, DeTable, DeValue};

use crate::case::complaint::{Complaint, Kind, Source};
use crate::numeric::nearest::nearest;

/// A value, the key it belongs to, and where it stands.
#[derive(Clone, Debug)]
pub(super) struct Valued<T> {
    /// The value.
    pub(super) value: T,
    /// Its key.
    pub(super) key: &'static str,
    /// Its bytes in the file.
    pub(super) span: Range<usize>,
}

/// Keys that had another name, and the one they have now.
const RENAMED: [(&str, &str); 2] = [("substeps", "strain_parts"), ("passes", "repeats")];

/// A table of the file and the words to speak of it.
#[derive(Clone, Debug)]
pub(super) struct Table<'a> {
    /// The file it stands in.
    pub(super) source: Source<'a>,
    /// How messages call it, e.g. `` `[plate]` ``.
    pub(super) name: String,
    /// Its heading, where missing keys are reported.
    pub(super) span: Range<usize>,
    entries: &'a DeTable<'a>,
}

/// How a value looks to the person who wrote it.
fn describe(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text",
        DeValue::Integer(number) if number.radix() != 10 => "a hexadecimal, octal or binary one",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a decimal number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date or time",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

/// A number as the person wrote it.
fn written<'v>(value: &'v DeValue<'_>) -> &'v str {
    match value {
        DeValue::Integer(number) => number.as_str(),
        DeValue::Float(number) => number.as_str(),
        _ => describe(value),
    }
}

impl<'a> Table<'a> {
    /// The whole file.
    pub(super) fn top(source: Source<'a>, entries: &'a DeTable<'a>) -> Self {
        Self { source, name: "this file".to_owned(), span: 0..0, entries }
    }

    /// The same table under another name.
    pub(super) fn called(&self, name: String) -> Self {
        Self { name, ..self.clone() }
    }

    /// Whether the table has the key.
    pub(super) fn has(&self, key: &str) -> bool {
        self.entries.contains_key(key)
    }

    /// Where a key itself stands; the heading when it is missing.
    pub(super) fn key_span(&self, key: &str) -> Range<usize> {
        self.entries.get_key_value(key).map_or(self.span.clone(), |(key, _)| key.span())
    }

    /// Refuses the first key that is not among `known`.
    pub(super) fn only(&self, known: &[&'static str]) -> Result<(), Complaint> {
        let stray = self
            .entries
            .keys()
            .filter(|key| !known.contains(&key.get_ref().as_ref()))
            .min_by_key(|key| key.span().start);
        let Some(stray) = stray else { return Ok(()) };
        let word = stray.get_ref().as_ref();
        let renamed = RENAMED.iter().find(|(old, new)| *old == word && known.contains(new));
        let remedy = match (renamed, nearest(word, known.iter().copied())) {
            (Some((_, new)), _) => format!("it is called `{new}` now"),
            (None, Some(meant)) => format!("did you mean `{meant}`?"),
            (None, None) => format!("keys of {}: {}", self.name, quoted(known)),
        };
        let problem = format!("`{}` is no key of {}", word.escape_debug(), self.name);
        Err(self.source.complain(&stray.span(), word, Kind::UnknownKey, problem, remedy))
    }

    /// The complaint that `key` is missing.
    pub(super) fn missing(&self, key: &str, remedy: impl Into<String>) -> Complaint {
        let problem = format!("{} has no `{key}`", self.name);
        self.source.complain(&self.span, key, Kind::MissingKey, problem, remedy)
    }

    /// The complaint that a key stands where it makes no sense.
    pub(super) fn stray(
        &self,
        key: &str,
        problem: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Complaint {
        self.source.complain(&self.key_span(key), key, Kind::Conflict, problem, remedy)
    }

    /// A complaint about a value.
    pub(super) fn about<T>(
        &self,
        at: &Valued<T>,
        kind: Kind,
        problem: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Complaint {
        self.source.complain(&at.span, at.key, kind, problem, remedy)
    }

    fn get(&self, key: &str) -> Option<(&'a DeValue<'a>, Range<usize>)> {
        self.entries.get(key).map(|value| (value.get_ref(), value.span()))
    }

    fn wrong_type(
        &self,
        key: &str,
        span: &Range<usize>,
        wanted: &str,
        found: &DeValue<'_>,
        remedy: impl Into<String>,
    ) -> Complaint {
        let problem = format!("`{key}` must {wanted}, not {}", describe(found));
        self.source.complain(span, key, Kind::WrongType, problem, remedy)
    }

    /// A finite number.
    pub(super) fn number(&self, key: &'static str) -> Result<Option<Valued<f64>>, Complaint> {
        let Some((value, span)) = self.get(key) else { return Ok(None) };
        let value = self.finite(key, "be a number", value, &span)?;
        Ok(Some(Valued { value, key, span }))
    }

    fn finite(
        &self,
        key: &str,
        wanted: &str,
        value: &DeValue<'_>,
        span: &Range<usize>,
    ) -> Result<f64, Complaint> {
        let written = match value {
            DeValue::Float(number) => number.as_str(),
            DeValue::Integer(number) if number.radix() == 10 => number.as_str(),
            DeValue::String(_) => {
                let remedy = "write the number alone, without quotes and unit";
                return Err(self.wrong_type(key, span, wanted, value, remedy));
            }
            _ => {
                let remedy = format!("for example `{key} = 1.5`");
                return Err(self.wrong_type(key, span, wanted, value, remedy));
            }
        };
        match written.parse::<f64>() {
            Ok(number) if number.is_finite() => Ok(number),
            _ => Err(self.source.complain(
                span,
                key,
                Kind::OutOfRange,
                format!("`{key}` is {written}, which is no finite number"),
                "write an ordinary number",
            )),
        }
    }

    /// A whole number, not negative.
    pub(super) fn count(&self, key: &'static str) -> Result<Option<Valued<usize>>, Complaint> {
        let Some((value, span)) = self.get(key) else { return Ok(None) };
        let number = match value {
            DeValue::Integer(number) if number.radix() == 10 => number.as_str().parse().ok(),
            _ => {
                let remedy = format!("for example `{key} = 10`");
                return Err(self.wrong_type(key, &span, "be a whole number", value, remedy));
            }
        };
        let Some(value) = number else {
            let problem = format!("`{key}` is {}, which is no count", written(value));
            let remedy = format!("for example `{key} = 10`");
            return Err(self.source.complain(&span, key, Kind::OutOfRange, problem, remedy));
        };
        Ok(Some(Valued { value, key, span }))
    }

    /// Text.
    pub(super) fn text(&self, key: &'static str) -> Result<Option<Valued<&'a str>>, Complaint> {
        match self.get(key) {
            None => Ok(None),
            Some((DeValue::String(text), span)) => {
                Ok(Some(Valued { value: text.as_ref(), key, span }))
            }
            Some((other, span)) => {
                let remedy = "put it in double quotes";
                Err(self.wrong_type(key, &span, "be text", other, remedy))
            }
        }
    }

    /// `true` or `false`.
    pub(super) fn switch(&self, key: &'static str) -> Result<Option<Valued<bool>>, Complaint> {
        match self.get(key) {
            None => Ok(None),
            Some((DeValue::Boolean(value), span)) => Ok(Some(Valued { value: *value, key, span })),
            Some((other, span)) => {
                let remedy = "write true or false, without quotes";
                Err(self.wrong_type(key, &span, "be true or false", other, remedy))
            }
        }
    }

    /// A list of texts, each with its own place.
    pub(super) fn texts(
        &self,
        key: &'static str,
        example: &str,
    ) -> Result<Option<Vec<Valued<&'a str>>>, Complaint> {
        let Some((list, _)) = self.list(key, example)? else { return Ok(None) };
        let text = |entry: &'a toml::Spanned<DeValue<'a>>| match entry.get_ref() {
            DeValue::String(text) => Ok(Valued { value: text.as_ref(), key, span: entry.span() }),
            other => Err(self.wrong_type(key, &entry.span(), "be a list of texts", other, example)),
        };
        list.iter().map(text).collect::<Result<_, _>>().map(Some)
    }

    /// A list of finite numbers of any length.
    pub(super) fn numbers(&self, key: &'static str) -> Result<Option<Valued<Vec<f64>>>, Complaint> {
        let example = format!("for example `{key} = [0, 90]`");
        let Some((list, span)) = self.list(key, &example)? else { return Ok(None) };
        let value = list
            .iter()
            .map(|entry| self.finite(key, "hold numbers", entry.get_ref(), &entry.span()))
            .collect::<Result<_, _>>()?;
        Ok(Some(Valued { value, key, span }))
    }

    /// A pair of finite numbers.
    pub(super) fn pair(&self, key: &'static str) -> Result<Option<Valued<[f64; 2]>>, Complaint> {
        let Some(Valued { value, key, span }) = self.numbers(key)? else { return Ok(None) };
        match <[f64; 2]>::try_from(value) {
            Ok(value) => Ok(Some(Valued { value, key, span })),
            Err(list) => {
                let problem = format!("`{key}` must hold two numbers, not {}", list.len());
                let remedy = format!("write `{key} = [x, y]`");
                Err(self.source.complain(&span, key, Kind::WrongType, problem, remedy))
            }
        }
    }

    /// A list of pairs of finite numbers, each with its own place.
    pub(super) fn pairs(
        &self,
        key: &'static str,
        example: &str,
    ) -> Result<Option<Vec<Valued<[f64; 2]>>>, Complaint> {
        let Some((list, _)) = self.list(key, example)? else { return Ok(None) };
        let mut pairs = Vec::with_capacity(list.len());
        for entry in list {
            let span = entry.span();
            let DeValue::Array(inner) = entry.get_ref() else {
                let wanted = "be a list of pairs of numbers";
                return Err(self.wrong_type(key, &span, wanted, entry.get_ref(), example));
            };
            let numbers: Vec<f64> = inner
                .iter()
                .map(|number| self.finite(key, "hold numbers", number.get_ref(), &number.span()))
                .collect::<Result<_, _>>()?;
            let Ok(value) = <[f64; 2]>::try_from(numbers.as_slice()) else {
                let problem =
                    format!("a point of `{key}` must hold two numbers, not {}", numbers.len());
                return Err(self.source.complain(&span, key, Kind::WrongType, problem, example));
            };
            pairs.push(Valued { value, key, span });
        }
        Ok(Some(pairs))
    }

    fn list(
        &self,
        key: &'static str,
        example: &str,
    ) -> Result<Option<(&'a DeArray<'a>, Range<usize>)>, Complaint> {
        match self.get(key) {
            None => Ok(None),
            Some((DeValue::Array(list), span)) => Ok(Some((list, span))),
            Some((other, span)) => Err(self.wrong_type(key, &span, "be a list", other, example)),
        }
    }

    /// A table inside this one, called `name` in messages.
    pub(super) fn table(
        &self,
        key: &'static str,
        name: &str,
        remedy: &str,
    ) -> Result<Option<Self>, Complaint> {
        match self.get(key) {
            None => Ok(None),
            Some((DeValue::Table(entries), span)) => {
                Ok(Some(Self { source: self.source, name: name.to_owned(), span, entries }))
            }
            Some((other, _)) => {
                Err(self.wrong_type(key, &self.key_span(key), "be a table", other, remedy))
            }
        }
    }

    /// A list of tables, each called by `name` and its number.
    pub(super) fn tables(
        &self,
        key: &'static str,
        name: &str,
        remedy: &str,
    ) -> Result<Vec<Self>, Complaint> {
        let list = match self.get(key) {
            None => return Ok(vec![]),
            Some((DeValue::Array(list), _)) => list,
            Some((other, span)) => {
                let span = if other.is_table() { span } else { self.key_span(key) };
                return Err(self.wrong_type(key, &span, "be a list of tables", other, remedy));
            }
        };
        let mut tables = Vec::with_capacity(list.len());
        for (index, entry) in list.iter().enumerate() {
            let span = entry.span();
            let DeValue::Table(entries) = entry.get_ref() else {
                let wanted = "be a list of tables";
                return Err(self.wrong_type(key, &span, wanted, entry.get_ref(), remedy));
            };
            let name = format!("{name} {}", index + 1);
            tables.push(Self { source: self.source, name, span, entries });
        }
        Ok(tables)
    }
}

/// Words in backticks, with commas.
pub(super) fn quoted(words: &[&str]) -> String {
    let quoted: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
    quoted.join(", ")
}
