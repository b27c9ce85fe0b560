//! From the result types to the keys of `summary.json`.

use crate::report::cautions::{CAUTIONS, LIMITS};
use crate::report::json::border::Border;
use crate::report::json::bush_block::bush_of;
use crate::report::json::joint_block::joints_of;
use crate::report::json::schema::{
    Bound, CaseFile, Drilled, Edge, Failure, Form, Hole, Keyed, Meaning, Measured, Mesh, Metal,
    Path, Peak, Plate, Program, Region, SCHEMA_VERSION, Section, Stage, Summary, Theory, UnitNames,
    by_hole,
};
use crate::report::json::service_block::service_of;
use crate::report::number;
use crate::report::run::{Outcome, RunReport};
use crate::report::{csv, vtu};
use crate::result::closed_form::{ClosedForm, HoleForms};
use crate::result::measured::Agreement;
use crate::result::summary::{
    BracketSummary, HoleSummary, MeshSummary, PathSummary, SectionSummary, StageSummary,
};
use crate::units::Units;
use crate::units::quantity::Described;
use crate::units::quantity::Quantity::{Force, Fraction, Length, Stress};

/// The whole summary in border units.
pub(super) fn summary_of(report: &RunReport) -> Summary {
    let mut border = Border::new(report.units);
    let units = report.units;
    let plate = border.within("plate", |border| plate(report, border));
    let material = border.within("material", |border| metal(report, border));
    let mesh = report.mesh.map(|mesh| border.within("mesh", |border| quality(mesh, border)));
    let stages = border.within("stages", |border| {
        keyed(report.stages, |stage| {
            let name = stage.stage.clone();
            (name.clone(), border.within(name, |border| stage_of(stage, report, border)))
        })
    });
    let hardening_bracket = border.within("hardening_bracket", |border| {
        keyed(report.bracket, |bound| {
            let name = bound.hardening.clone();
            (name.clone(), border.within(name, |border| bound_of(bound, border)))
        })
    });
    let idealisations = border.within("idealisations", |border| {
        keyed(report.idealisations, |other| {
            let name = other.idealisation.clone();
            (name.clone(), border.within(name, |border| paths_of(&other.paths, border)))
        })
    });
    let measured = border.within("measured", |border| {
        report.measured.iter().map(|agreement| measured_of(agreement, border)).collect()
    });
    let closed_forms = border.within("closed_forms", |border| {
        keyed(report.closed_forms, |hole| {
            let name = hole.hole.clone();
            (name.clone(), border.within(name, |border| theory_of(hole, border)))
        })
    });
    Summary {
        schema_version: SCHEMA_VERSION,
        program: Program { name: env!("CARGO_PKG_NAME"), version: env!("CARGO_PKG_VERSION") },
        title: report.title.to_owned(),
        case: CaseFile { file: report.case_name(), sha256: report.case_sha256.to_owned() },
        complete: report.complete(),
        status: report.outcome.name(),
        failure: failure(&report.outcome),
        warnings: report.warnings.iter().cloned().chain(border.warnings).collect(),
        units: UnitNames {
            system: units.name(),
            length: units.length_name(),
            stress: units.stress_name(),
            force: units.force_name(),
            energy: units.energy_name(),
            angle: "degree",
        },
        plate,
        material,
        mesh,
        stages,
        hardening_bracket,
        idealisations,
        measured,
        closed_forms,
        columns: keyed(&csv::columns(report), |(file, columns)| {
            ((*file).to_owned(), meanings(columns, units))
        }),
        fields: meanings(vtu::arrays(), units),
        limits: LIMITS.to_vec(),
        cautions: CAUTIONS.to_vec(),
    }
}

fn failure(outcome: &Outcome) -> Option<Failure> {
    match outcome {
        Outcome::Failed { message, hint } => {
            Some(Failure { message: message.clone(), hint: hint.clone() })
        }
        Outcome::Done | Outcome::Interrupted => None,
    }
}

fn plate(report: &RunReport, border: &mut Border) -> Plate {
    let plate = &report.job.plate;
    Plate {
        thickness: border.number("thickness", Length, plate.thickness),
        idealisation: report.job.idealisation.name(),
        holes: keyed(&plate.holes, |hole| {
            let drilled = Drilled {
                centre: border.pair("centre", Length, hole.centre),
                starting_diameter: border.number(
                    "starting_diameter",
                    Length,
                    hole.starting_diameter,
                ),
            };
            (hole.name.clone(), drilled)
        }),
        regions: regions(report, border),
    }
}

fn regions(report: &RunReport, border: &mut Border) -> Option<Keyed<Region>> {
    let job = report.job;
    (!job.regions.is_empty()).then(|| {
        keyed(&job.regions, |region| {
            let metal = region.material.as_ref().unwrap_or(&job.material);
            let own = !region.material_name.is_empty();
            let name = if own { &region.material_name } else { report.material_name };
            let young = metal.elasticity.youngs_modulus;
            let thickness = region.thickness.unwrap_or(job.plate.thickness);
            let found = Region {
                thickness: border.number("thickness", Length, thickness),
                material: name.to_owned(),
                youngs_modulus: border.number("youngs_modulus", Stress, young),
                yield_stress: border.number("yield_stress", Stress, metal.yield_stress),
            };
            (region.name.clone(), found)
        })
    })
}

fn metal(report: &RunReport, border: &mut Border) -> Metal {
    let material = &report.job.material;
    let elasticity = material.elasticity;
    Metal {
        name: report.material_name.to_owned(),
        youngs_modulus: border.number("youngs_modulus", Stress, elasticity.youngs_modulus),
        poissons_ratio: border.number("poissons_ratio", Fraction, elasticity.poissons_ratio),
        yield_stress: border.number("yield_stress", Stress, material.yield_stress),
        sources: report.material_sources.to_vec(),
    }
}

fn quality(mesh: &MeshSummary, border: &mut Border) -> Mesh {
    let mut number = |key, value| border.number(key, Fraction, value);
    Mesh {
        nodes: mesh.nodes,
        quadrilaterals: mesh.quadrilaterals,
        triangles: mesh.triangles,
        unknowns: mesh.unknowns,
        symmetry_copies: mesh.symmetry_copies,
        smallest_scaled_jacobian: number("smallest_scaled_jacobian", mesh.smallest_scaled_jacobian),
        largest_aspect_ratio: number("largest_aspect_ratio", mesh.largest_aspect_ratio),
    }
}

fn stage_of(stage: &StageSummary, report: &RunReport, border: &mut Border) -> Stage {
    let axial = stage.axial_stress_error;
    Stage {
        residual: !stage.loaded,
        holes: border.within("holes", |border| {
            keyed(&stage.holes, |hole| {
                let name = hole.hole.clone();
                (name.clone(), border.within(name, |border| hole_of(hole, border)))
            })
        }),
        paths: border.within("paths", |border| paths_of(&stage.paths, border)),
        bushes: border.within("bushes", |border| {
            keyed(&stage.bushes, |bush| {
                let name = bush.name.clone();
                (name.clone(), border.within(name, |border| bush_of(bush, border)))
            })
        }),
        edges: border.within("edges", |border| {
            keyed(&stage.edges, |edge| {
                let force = edge.support_force;
                let force = force.map(|force| border.pair("support_force", Force, force));
                let bulge = border.number("bulge", Length, edge.bulge);
                (edge.edge.clone(), Edge { bulge, support_force: force })
            })
        }),
        sections: border.within("sections", |border| sections_of(&stage.sections, border)),
        increments: stage.increments,
        iterations: stage.iterations,
        factorizations: stage.factorizations,
        equilibrium_residual: border.number(
            "equilibrium_residual",
            Fraction,
            stage.equilibrium_residual,
        ),
        energy_imbalance: border.number("energy_imbalance", Fraction, stage.energy_imbalance),
        axial_stress_error: border.maybe("axial_stress_error", Fraction, axial),
        net_axial_force: border.maybe("net_axial_force", Fraction, stage.net_axial_force),
        largest_strain: border.number("largest_strain", Fraction, stage.largest_strain),
        smallest_scaled_jacobian: border.number(
            "smallest_scaled_jacobian",
            Fraction,
            stage.smallest_scaled_jacobian,
        ),
        largest_penetration: border.number(
            "largest_penetration",
            Length,
            stage.largest_penetration,
        ),
        doublers: border.within("doublers", |border| joints_of(stage, report, border)),
        service: report
            .service
            .iter()
            .find(|service| service.stage == stage.stage)
            .map(|service| border.within("service", |border| service_of(service, border))),
    }
}

fn hole_of(hole: &HoleSummary, border: &mut Border) -> Hole {
    Hole {
        applied_expansion: border.maybe("applied_expansion", Fraction, hole.applied_expansion),
        retained_expansion: border.maybe("retained_expansion", Fraction, hole.retained_expansion),
        mean_pressure: border.number("mean_pressure", Stress, hole.mean_pressure),
        peak_pressure: border.number("peak_pressure", Stress, hole.peak_pressure),
        bearing_stress: border.maybe("bearing_stress", Stress, hole.bearing_stress),
        mandrel_shift: border.pair("mandrel_shift", Length, hole.mandrel_shift),
        smallest_diameter: border.number("smallest_diameter", Length, hole.smallest_diameter),
        largest_diameter: border.number("largest_diameter", Length, hole.largest_diameter),
        edge_thickness_change: border.maybe(
            "edge_thickness_change",
            Fraction,
            hole.edge_thickness_change,
        ),
        edge_margin: border.number("edge_margin", Fraction, hole.edge_margin),
    }
}

fn paths_of(paths: &[PathSummary], border: &mut Border) -> Keyed<Keyed<Path>> {
    by_hole(
        paths,
        |path| &path.hole,
        |path| {
            let angle = number::text(path.angle_deg);
            let place = format!("{}.{angle}", path.hole);
            (angle, border.within(place, |border| path_of(path, border)))
        },
    )
}

fn path_of(path: &PathSummary, border: &mut Border) -> Path {
    let mut peak = |key: &str, extreme: Option<[f64; 2]>| {
        extreme.map(|[hoop, distance]| Peak {
            hoop: border.number(key, Stress, hoop),
            distance: border.number(key, Length, distance),
        })
    };
    let compression = peak("peak_compression", path.peak_compression);
    let tension = peak("peak_tension", path.peak_tension);
    let reverse = path.reverse_yield_extent;
    Path {
        // A label of the path, hence degrees in every unit system.
        angle_deg: border.number("angle_deg", Fraction, path.angle_deg),
        edge_hoop: border.number("edge_hoop", Stress, path.edge_hoop),
        peak_compression: compression,
        compression_depth: border.maybe("compression_depth", Length, path.compression_depth),
        peak_tension: tension,
        plastic_extent: border.number("plastic_extent", Length, path.plastic_extent),
        reverse_yield_extent: border.number("reverse_yield_extent", Length, reverse),
        edge_error: border.maybe("edge_error", Fraction, path.edge_error),
    }
}

fn sections_of(sections: &[SectionSummary], border: &mut Border) -> Keyed<Keyed<Section>> {
    by_hole(
        sections,
        |section| &section.hole,
        |section| {
            let net = section.net_over_compressive;
            let net_over_compressive = border.number("net_over_compressive", Fraction, net);
            (number::text(section.angle_deg), Section { net_over_compressive })
        },
    )
}

fn bound_of(bound: &BracketSummary, border: &mut Border) -> Bound {
    Bound {
        curve_misfit: border.number("curve_misfit", Fraction, bound.curve_misfit),
        paths: border.within("paths", |border| paths_of(&bound.paths, border)),
    }
}

fn measured_of(agreement: &Agreement, border: &mut Border) -> Measured {
    let mut stress =
        |key: &str, value: Option<f64>| value.and_then(|value| border.number(key, Stress, value));
    Measured {
        label: agreement.label.clone(),
        points: agreement.points.len(),
        compared: agreement.differences().count(),
        mean_difference: stress("mean_difference", agreement.mean()),
        root_mean_square: stress("root_mean_square", agreement.root_mean_square()),
        within_bars: agreement.within_bars(),
    }
}

fn theory_of(hole: &HoleForms, border: &mut Border) -> Theory {
    let form = |form: &ClosedForm| Form {
        stage: form.stage.clone(),
        // A label of the path, hence degrees in every unit system.
        angle_deg: form.angle_deg.map(number::rounded),
        name: form.name.clone(),
        statement: form.statement.clone(),
        largest_difference: form.largest_difference.map(|[hoop, distance]| Peak {
            hoop: border.number("largest_difference", Stress, hoop),
            distance: border.number("largest_difference", Length, distance),
        }),
    };
    Theory { forms: hole.forms.iter().map(form).collect(), reason: hole.reason.clone() }
}

fn meanings(described: &[Described], units: Units) -> Keyed<Meaning> {
    keyed(described, |one| {
        let meaning = Meaning { unit: one.quantity.unit(units), meaning: one.meaning };
        (one.name.to_owned(), meaning)
    })
}

fn keyed<S, T>(items: &[S], entry: impl FnMut(&S) -> (String, T)) -> Keyed<T> {
    Keyed(items.iter().map(entry).collect())
}
