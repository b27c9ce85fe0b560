//! A stage of another temperature: the metals at that temperature, and what heat takes of the stress, as the case
//! gives them.

use crate::case::border::{Border, plain, positive};
use crate::case::complaint::{Complaint, Kind};
use crate::case::keys::row::names;
use crate::case::keys::stage_keys::HOT_REGION;
use crate::case::metal::read_youngs_modulus;
use crate::case::table::{Table, quoted};
use crate::material::hardening::Material;
use crate::material::hot::HotShares;
use crate::process::region::Region;
use crate::process::relaxation::Relaxation;

/// Shares of modulus and yield stress outside these are a slip: no metal is in use beyond them.
const SHARES: [f64; 2] = [0.05, 2.0];

/// Shares of modulus and yield stress of the plate and of every region; none when the stage gives no constants.
pub(super) fn read_metals(
    table: &Table<'_>,
    plate: &Material,
    regions: &[Region],
    border: Border,
) -> Result<Vec<HotShares>, Complaint> {
    let own = read_shares(table, plate, border)?;
    let plates = own.unwrap_or(HotShares::NONE);
    // A region of the metal of the plate goes with it.
    let of = |region: &Region| if region.material.is_some() { HotShares::NONE } else { plates };
    let mut shares: Vec<HotShares> =
        std::iter::once(plates).chain(regions.iter().map(of)).collect();
    let remedy = "write `regions = [{ name = \"ring\", yield_stress = 250.0 }]`";
    let tables = table.tables("regions", "region", remedy)?;
    for one in &tables {
        one.only(&names(HOT_REGION))?;
        let known: Vec<&str> = regions.iter().map(|region| region.name.as_str()).collect();
        let name = one.text("name")?.ok_or_else(|| one.missing("name", remedy))?;
        let Some(place) = known.iter().position(|known| *known == name.value) else {
            let problem = format!("there is no region `{}`", name.value);
            let remedy = if known.is_empty() {
                "this case has no [[region]]".to_owned()
            } else {
                format!("regions of this case: {}", quoted(&known))
            };
            return Err(one.about(&name, Kind::UnknownName, problem, remedy));
        };
        let metal = regions[place].material.as_ref().unwrap_or(plate);
        let Some(found) = read_shares(one, metal, border)? else {
            let remedy = "give `youngs_modulus` or `yield_stress` at this temperature";
            return Err(one.missing("yield_stress", remedy));
        };
        shares[1 + place] = found;
    }
    let given = own.is_some() || !tables.is_empty();
    Ok(if given { shares } else { Vec::new() })
}

/// Modulus and yield stress of a table over those of `cold`; `None` when it has neither.
fn read_shares(
    table: &Table<'_>,
    cold: &Material,
    border: Border,
) -> Result<Option<HotShares>, Complaint> {
    let modulus = match table.number("youngs_modulus")? {
        None => None,
        Some(number) => {
            let modulus = read_youngs_modulus(table, &number, border)?;
            Some((modulus / cold.elasticity.youngs_modulus, number))
        }
    };
    let stress = match table.number("yield_stress")? {
        None => None,
        Some(number) => {
            let stress = border.stress(positive(table, &number, "give it at this temperature")?);
            Some((stress / cold.yield_stress, number))
        }
    };
    for (share, number) in modulus.iter().chain(&stress) {
        if !(SHARES[0]..=SHARES[1]).contains(share) {
            let problem = format!(
                "`{}` is {}, {} times that of the case",
                number.key,
                plain(number.value),
                plain(1e-3 * (1e3 * share).round())
            );
            let remedy = format!("between {} and {} times is modelled", SHARES[0], SHARES[1]);
            return Err(table.about(number, Kind::OutOfRange, problem, remedy));
        }
    }
    let of = |share: Option<(f64, _)>| share.map_or(1.0, |(share, _)| share);
    let given = modulus.is_some() || stress.is_some();
    let shares = HotShares { modulus: of(modulus), yield_stress: of(stress) };
    Ok(given.then_some(shares))
}

/// The share that heat leaves of the residual stress, with its source.
pub(super) fn read_relaxation(table: &Table<'_>) -> Result<Option<Relaxation>, Complaint> {
    let Some(left) = table.number("residual_left")? else {
        if table.has("source") {
            let problem = "`source` has no meaning without `residual_left`";
            let remedy = "give the share of the residual stress that is left, 0 to 1";
            return Err(table.stray("source", problem, remedy));
        }
        return Ok(None);
    };
    if !(0.0..=1.0).contains(&left.value) {
        let problem = format!("`residual_left` is {}, but is a share", plain(left.value));
        let remedy = "give what is left of the residual stress, 0 to 1";
        return Err(table.about(&left, Kind::OutOfRange, problem, remedy));
    }
    let remedy =
        "say where the share comes from, `source = \"…\"`: it is no result of this program";
    let source = table.text("source")?.ok_or_else(|| table.missing("source", remedy))?;
    if source.value.trim().is_empty() {
        return Err(table.about(&source, Kind::OutOfRange, "`source` is empty", remedy));
    }
    Ok(Some(Relaxation { left: left.value, source: source.value.to_owned() }))
}
