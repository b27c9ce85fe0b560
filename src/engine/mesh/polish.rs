//! Last improvement of the fill: points move so that the worst triangle round them gets better.
//!
//! Centroidal patches make triangles good on the average; a few poor ones remain where the
//! boundary leaves no freedom. Only points beside such a triangle are moved, by trial: a step
//! in one of eight directions is kept when the worst triangle round the point gains, else
//! steps are halved (a pattern search, common practice, no source). Which triangles there are
//! does not change.

/// Triangles below this shape are worked on; 0.6 is a smallest angle of about 31°.
const POOR: f64 = 0.6;
/// Directions tried, unit vectors; written out so that they are the same on every machine.
const DIRECTIONS: [[f64; 2]; 8] = [
    [1.0, 0.0],
    [0.7, 0.7],
    [0.0, 1.0],
    [-0.7, 0.7],
    [-1.0, 0.0],
    [-0.7, -0.7],
    [0.0, -1.0],
    [0.7, -0.7],
];
/// First step over the shortest side round the point, and how often it is halved.
const STEP: f64 = 0.3;
const HALVINGS: usize = 5;
/// Times that all points are visited.
const VISITS: usize = 4;

/// Improves `points[fixed..]` of the straight triangles `faces`, corners counter-clockwise.
pub(crate) fn polish(points: &mut [[f64; 2]], fixed: usize, faces: &[[usize; 3]]) {
    let mut around: Vec<Vec<usize>> = vec![Vec::new(); points.len()];
    for (face, corners) in faces.iter().enumerate() {
        for &vertex in corners {
            around[vertex].push(face);
        }
    }
    for _ in 0..VISITS {
        for vertex in fixed..points.len() {
            let worst = |points: &[[f64; 2]]| {
                let shapes = around[vertex].iter().map(|&face| shape(points, faces[face]));
                shapes.fold(f64::INFINITY, f64::min)
            };
            let mut best = worst(points);
            if best > POOR {
                continue;
            }
            let neighbours = around[vertex].iter().flat_map(|&face| faces[face]);
            let shortest = neighbours
                .filter(|&other| other != vertex)
                .map(|other| length(points[other], points[vertex]))
                .fold(f64::INFINITY, f64::min);
            let mut step = STEP * shortest;
            for _ in 0..HALVINGS {
                let start = points[vertex];
                let mut kept = None;
                for [x, y] in DIRECTIONS {
                    points[vertex] = [start[0] + step * x, start[1] + step * y];
                    let tried = worst(points);
                    if tried > best {
                        best = tried;
                        kept = Some(points[vertex]);
                    }
                }
                points[vertex] = kept.unwrap_or(start);
                if kept.is_none() {
                    step *= 0.5;
                }
            }
        }
    }
}

/// Scaled Jacobian of a straight triangle: 1 when equilateral, not above 0 when inverted.
fn shape(points: &[[f64; 2]], face: [usize; 3]) -> f64 {
    let [a, b, c] = face.map(|vertex| points[vertex]);
    let sides = [length(a, b), length(b, c), length(c, a)];
    let shortest = sides.into_iter().fold(f64::INFINITY, f64::min);
    let longest_two = sides[0] * sides[1] * sides[2] / shortest;
    let doubled_area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
    2.0 / 3.0_f64.sqrt() * doubled_area / longest_two
}

fn length(a: [f64; 2], b: [f64; 2]) -> f64 {
    (b[0] - a[0]).hypot(b[1] - a[1])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_point_at_the_rim_of_its_patch_is_brought_to_the_middle() {
        let corners = (0..6).map(|k| f64::from(k) * std::f64::consts::FRAC_PI_3);
        let mut points: Vec<[f64; 2]> = corners.map(|angle| [angle.cos(), angle.sin()]).collect();
        points.push([0.7, 0.1]);
        let faces: Vec<[usize; 3]> = (0..6).map(|k| [k, (k + 1) % 6, 6]).collect();
        polish(&mut points, 6, &faces);
        let worst = faces.iter().map(|&face| shape(&points, face)).fold(1.0, f64::min);
        assert!(worst > POOR, "{worst} at {:?}", points[6]);
    }
}
