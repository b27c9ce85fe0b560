//! The field files read back to what was written.

use approx::assert_relative_eq;

use hoopset::geometry::hole::nearest_hole;
use hoopset::report::vtu;
use hoopset::units::Units;

use crate::grid::{DataArray, Grid};
use crate::sample::{holes, stage_result};

/// VTK's numbers of quadratic quads, quadratic triangles and vertices (class reference, from memory).
const QUAD: usize = 23;
const TRIANGLE: usize = 22;
const VERTEX: usize = 1;

#[test]
fn mesh_and_nodal_fields_read_back() {
    let stage = stage_result("1-expand-A");
    let grid = Grid::read(&vtu::nodes(&stage, &holes(), Units::MmMpa));

    assert_eq!(grid.of_cells("types"), [QUAD, TRIANGLE]);
    assert_eq!(grid.of_cells("offsets"), [8, 14]);
    let written = stage.mesh.quads[0].iter().chain(&stage.mesh.triangles[0]);
    assert!(grid.of_cells("connectivity").iter().eq(written));

    let positions = grid.positions();
    let DataArray { components, numbers: displacement, .. } = grid.at_points("displacement");
    assert_eq!((components, positions.len()), (3, displacement.len()));
    for (node, &[x, y]) in stage.mesh.nodes.iter().enumerate() {
        assert_eq!(&positions[3 * node..3 * node + 3], [x, y, 0.0]);
        let [u, v] = stage.nodal.displacement[node];
        assert_eq!(&displacement[3 * node..3 * node + 3], [u, v, 0.0]);
    }

    assert_eq!(grid.at_points("hoop_about_nearest_hole").numbers, stage.nodal.hoop);
    let expected: Vec<f64> = stage.nodal.stress.iter().map(|s| s.yy).collect();
    assert_eq!(grid.at_points("stress_yy").numbers, expected);
    let strains = grid.at_points("equivalent_plastic_strain").numbers;
    let zone: Vec<f64> = strains.iter().map(|&p| f64::from(p > 0.0)).collect();
    assert_eq!(grid.at_points("plastic_zone").numbers, zone);
    assert!(zone.contains(&0.0) && zone.contains(&1.0));
}

#[test]
fn every_array_is_described_and_every_described_array_is_written() {
    let stage = stage_result("1-expand-A");
    let grid = Grid::read(&vtu::nodes(&stage, &holes(), Units::MmMpa));
    let mut described: Vec<&str> = vtu::arrays().iter().map(|array| array.name).collect();
    described.sort_unstable();
    assert_eq!(grid.point_arrays(), described);
}

#[test]
fn radial_and_shear_are_those_about_the_nearest_hole() {
    let stage = stage_result("1-expand-A");
    let grid = Grid::read(&vtu::points(&stage, &holes(), Units::MmMpa));
    let (radial, hoop) = (
        grid.at_points("radial_about_nearest_hole").numbers,
        grid.at_points("hoop_about_nearest_hole").numbers,
    );
    assert_eq!(grid.of_cells("types"), [VERTEX; 7]);
    for (index, point) in stage.points.iter().enumerate() {
        // The trace does not depend on the axes; the direction is taken from hole A by hand.
        assert_relative_eq!(
            radial[index] + hoop[index],
            point.stress.xx + point.stress.yy,
            epsilon = 1e-12
        );
        let [x, y] = [point.position[0] - 12.0, point.position[1] - 30.0];
        let along =
            (x * x * point.stress.xx + y * y * point.stress.yy + 2.0 * x * y * point.stress.xy)
                / (x * x + y * y);
        assert_relative_eq!(radial[index], along, epsilon = 1e-12);
    }
}

#[test]
fn the_nearest_hole_is_the_one_with_the_nearest_edge() {
    // Edges at x = 14.85 and x = 36: midway 25.425, not 26 between the centres.
    let holes = holes();
    assert_eq!(nearest_hole([25.4, 30.0], &holes), Some(0));
    assert_eq!(nearest_hole([25.5, 30.0], &holes), Some(1));
    assert_eq!(nearest_hole([25.5, 30.0], &[]), None);
}

#[test]
fn fields_are_in_the_units_of_the_case() {
    let stage = stage_result("1-expand-A");
    let metric = Grid::read(&vtu::nodes(&stage, &holes(), Units::MmMpa));
    let inch = Grid::read(&vtu::nodes(&stage, &holes(), Units::InKsi));
    // 1 in = 25.4 mm; 1 ksi = 6.894 757 293 168 MPa (exact pound and gravity).
    for (name, scale) in [("displacement", 25.4), ("von_mises", 6.894_757_293_168_361)] {
        let pairs = metric.at_points(name).numbers.into_iter().zip(inch.at_points(name).numbers);
        for (mm, inches) in pairs {
            assert_relative_eq!(mm, inches * scale, max_relative = 1e-12);
        }
    }
}

#[test]
fn the_collection_names_every_stage_in_order() {
    let text = vtu::collection(["1-expand-A", "2-ream-A"]);
    let first = text.find("timestep=\"0\" part=\"0\" file=\"1-expand-A.vtu\"").unwrap();
    let second = text.find("timestep=\"1\" part=\"0\" file=\"2-ream-A.vtu\"").unwrap();
    assert!(first < second);
}

#[test]
fn equal_stages_give_equal_bytes() {
    let bytes = || vtu::nodes(&stage_result("a"), &holes(), Units::InKsi);
    assert_eq!(bytes(), bytes());
}
