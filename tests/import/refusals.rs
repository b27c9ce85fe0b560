//! What is refused: holes that do not fit, elements that do not join up, files that lie.

use hoopset::mesh::import::import_error::ImportError;
use hoopset::mesh::import::read_vtu;

use crate::text::{Cell, square_with_hole, vtu, vtu_in_space};
use crate::{RADII, file, hole, read};

/// What is said of a mesh of points and cells.
pub(crate) fn refused(points: &[[f64; 2]], cells: &[Cell]) -> String {
    read(&vtu(points, cells)).expect_err("this mesh is wrong").to_string()
}

/// A change to points in space and their cells.
type Edit<'a> = &'a dyn Fn(&mut Vec<[f64; 3]>, &mut Vec<Cell>);

#[test]
fn a_coarse_or_wrong_hole_is_refused_with_its_place() {
    let (points, cells) = square_with_hole(8, &RADII);
    let said = refused(&points, &cells);
    assert!(said.contains("8 element sides round it, least 16"), "{said}");
    let (points, cells) = square_with_hole(24, &[1.0, 1.4, 2.0]);
    let said = refused(&points, &cells);
    assert!(said.contains("40 % of the radius thick, most 25 %"), "{said}");

    let (points, cells) = square_with_hole(24, &RADII);
    let text = vtu(&points, &cells);
    let stated = |centre, diameter| read_vtu(text.as_bytes(), 1.0, &[hole("A", centre, diameter)]);
    for (centre, diameter) in [([5.02, 5.0], 2.0), ([5.0, 5.0], 2.02), ([f64::NAN, 5.0], 2.0)] {
        let error = stated(centre, diameter).unwrap_err();
        let ImportError::NoSuchHole { found, .. } = &error else { panic!("{error}") };
        assert!((found[0].0[0] - 5.0).abs() < 1e-12 && (found[0].1 - 2.0).abs() < 1e-12);
        assert!(error.to_string().ends_with("there is 2.0000 mm at (5.0000, 5.0000) mm"));
    }
    // Within half a percent the nodes are moved, and that is said.
    let moved = stated([5.0, 5.0], 2.006).unwrap();
    assert!(moved.notes.iter().any(|note| note.contains("moved onto its circle, by up to 0.0030")));
    // Two holes cannot be the same opening.
    let twice = [hole("A", [5.0, 5.0], 2.0), hole("B", [5.0, 5.0], 2.0)];
    assert!(matches!(
        read_vtu(text.as_bytes(), 1.0, &twice),
        Err(ImportError::NoSuchHole { hole, .. }) if hole == "B"
    ));
}

#[test]
fn elements_that_do_not_join_up_are_refused_with_their_place() {
    let (points, cells) = square_with_hole(24, &RADII);
    let with = |more: Vec<[f64; 2]>, change: &dyn Fn(&mut Vec<Cell>)| {
        let mut all = points.clone();
        all.extend(more);
        let mut changed = cells.clone();
        change(&mut changed);
        refused(&all, &changed)
    };
    // A node in the middle of a side that the neighbour does not have: an outer cell in three.
    let n = points.len();
    let nodes = cells[4 * 24].1.clone();
    let between = |a: usize, b: usize| [0, 1].map(|axis| 0.5 * (points[a][axis] + points[b][axis]));
    let said = with(vec![between(nodes[3], nodes[0])], &|cells| {
        cells[4 * 24] = (5, vec![nodes[0], nodes[1], n]);
        cells.push((5, vec![nodes[1], nodes[2], n]));
        cells.push((5, vec![nodes[2], nodes[3], n]));
    });
    assert!(said.contains("a node of one element lies in the side of another"), "{said}");
    // Three elements on one side; one element over another; a loose part; a part by one node.
    let said = with(vec![[8.0, 8.0], [9.0, 7.0]], &|cells| {
        cells.push((5, vec![nodes[0], n, nodes[1]]));
        cells.push((5, vec![nodes[1], n + 1, nodes[0]]));
    });
    assert!(
        said.contains("more than two elements share a side") || said.contains("over"),
        "{said}"
    );
    let said = with(vec![], &|cells| cells.push(cells[30].clone()));
    assert!(said.contains("over each other") || said.contains("more than two"), "{said}");
    let said = with(vec![[20.0, 0.0], [21.0, 0.0], [20.0, 1.0]], &|cells| {
        cells.push((5, vec![n, n + 1, n + 2]));
    });
    assert!(said.contains("at (20.0000, 0.0000) mm") && said.contains("separate parts"), "{said}");
    let said = with(vec![[11.0, 5.0], [11.0, 6.0]], &|cells| {
        cells.push((5, vec![nodes[1], n, n + 1]));
    });
    assert!(said.contains("parts touch in this node only"), "{said}");
}

#[test]
fn bad_elements_and_points_are_refused_by_number() {
    let (points, cells) = square_with_hole(24, &RADII);
    let change = |edit: Edit| {
        let mut space: Vec<[f64; 3]> = points.iter().map(|&[x, y]| [x, y, 2.5]).collect();
        let mut changed = cells.clone();
        edit(&mut space, &mut changed);
        read(&vtu_in_space(&space, &changed)).map(|_| String::new()).map_err(|e| e.to_string())
    };
    assert_eq!(change(&|_, _| ()), Ok(String::new()), "any level z will do");
    let said = |edit: Edit| change(edit).expect_err("this mesh is wrong");
    let bow_tie = said(&|_, cells| cells[50].1.swap(1, 2));
    assert!(bow_tie.starts_with("cell 50 of the mesh, at ("), "{bow_tie}");
    // Pulled across its opposite side: folded, whichever way round it is numbered.
    let pulled = said(&|points, cells| points[cells[100].1[1]] = [5.0, 5.0, 2.5]);
    assert!(pulled.contains("is folded"), "{pulled}");
    let collapsed = said(&|_, cells| cells[7].1[1] = cells[7].1[0]);
    assert!(collapsed.contains("cell 7") && collapsed.contains("two nodes in one place"));
    let not_flat = said(&|points, _| points[9][2] = 2.6);
    assert!(not_flat.starts_with("point 9 of the mesh has z = 2.6"), "{not_flat}");
    let no_number = said(&|points, _| points[11][0] = f64::NAN);
    assert_eq!(no_number, "point 11 of the mesh is not a number");
    let solid = said(&|_, cells| cells[3].0 = 10);
    assert_eq!(solid, "cell 3 of the mesh, of type 10, is a solid element");
    let unknown = said(&|_, cells| cells[3].0 = 7);
    assert_eq!(unknown, "cell 3 of the mesh, of type 7, is not understood");
    let short = said(&|_, cells| cells[3].0 = 5);
    assert!(short.contains("wrong number of points"), "{short}");
}

#[test]
fn files_that_lie_or_end_early_are_refused() {
    let (points, cells) = square_with_hole(24, &RADII);
    let text = vtu(&points, &cells);
    let said = |from: &str, to: &str| {
        assert!(text.contains(from), "{from}");
        read(&text.replacen(from, to, 1)).expect_err("this file is wrong").to_string()
    };
    let count = format!("NumberOfPoints=\"{}\"", points.len());
    assert!(said(&count, "NumberOfPoints=\"19999999\"").contains("are expected"));
    assert!(said(&count, "NumberOfPoints=\"99999999999999999999\"").contains("NumberOfPoints"));
    assert!(said(&count, "NumberOfPoints=\"20\"").contains("holds more than the 60 numbers"));
    assert!(said("connectivity", "connections").contains("`connectivity` of the mesh is missing"));
    assert!(said("NumberOfComponents=\"3\"", "NumberOfComponents=\"2\"").contains("three"));
    assert!(said("UnstructuredGrid\"", "PolyData\"").contains("`PolyData`"));
    assert!(said("</Points>", "</Pints>").contains("byte"));
    assert!(said("<VTKFile", "<VTKDatei").contains("no mesh that can be read"));
    assert!(
        said("offsets\" format=\"ascii\">4 8", "offsets\" format=\"ascii\">8 4").contains("rise")
    );

    for name in ["vtk-appended-raw", "vtk-base64-zlib", "vtk-appended-raw-zlib-big-endian"] {
        let bytes = file(&format!("encodings/{name}.vtu"));
        let whole = bytes.iter().rposition(|&b| b == b'_' || b == b'=').unwrap();
        for end in (0..whole).step_by(7) {
            assert!(read_vtu(&bytes[..end], 1.0, &[]).is_err(), "{name} cut at {end}");
        }
    }
    // Sizes beyond any memory at the head of every array, raw and in base 64.
    for (name, fill) in [("vtk-appended-raw-sizes8", 0xff), ("vtk-appended-base64-zlib", b'/')] {
        let mut bytes = file(&format!("encodings/{name}.vtu"));
        let head = bytes.windows(13).position(|window| window == b"<AppendedData").unwrap();
        let start = head + bytes[head..].iter().position(|&b| b == b'_').unwrap() + 1;
        let offsets: Vec<usize> = bytes[..start]
            .windows(8)
            .enumerate()
            .filter(|(_, window)| window == b"offset=\"")
            .map(|(at, _)| {
                let digits = bytes[at + 8..].iter().take_while(|b| b.is_ascii_digit());
                digits.fold(0, |number, digit| 10 * number + usize::from(digit - b'0'))
            })
            .collect();
        assert_eq!(offsets.len(), 5, "a field, points, and three arrays of cells");
        for offset in offsets {
            bytes[start + offset..start + offset + 8].fill(fill);
        }
        let said = read_vtu(&bytes, 1.0, &[]).unwrap_err().to_string();
        assert!(said.contains("are expected") || said.contains("too early"), "{name}: {said}");
    }
}
