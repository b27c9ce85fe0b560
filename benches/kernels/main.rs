//! The kernels one by one: return maps, element, assembly of a plate, factor and solution.

use criterion::{Criterion, criterion_group, criterion_main};
use hoopset::element::kernel::{Measure, PointGeometry, block_count, forces, stiffness, strain};
use hoopset::element::shape::{quad8_gradients, quad8_values};
use hoopset::material::state::PointState;
use hoopset::material::{plane_stress, return_map};
use hoopset::numeric::gauss::SQUARE_2X2;
use hoopset::process::sequence::{Observer, Sequence};
use hoopset::process::snapshot::Snapshot;
use hoopset::solver::factor::Factor;
use nalgebra::{Matrix4, Vector4};

fn maps(criterion: &mut Criterion) {
    let job = hoopset::parse(hoopset::case::DEMO, "demo.toml").expect("the demonstration").job;
    let old = PointState::default();
    let strain = Vector4::new(0.008, -0.005, 0.0, 0.002);
    criterion.bench_function("return map, plane stress, yielding", |bench| {
        bench.iter(|| plane_stress::respond(&job.material, &strain, &old).expect("answers"));
    });
    criterion.bench_function("return map, plane strain, yielding", |bench| {
        bench.iter(|| return_map::respond(&job.material, &strain, &old).expect("answers"));
    });
}

fn element(criterion: &mut Criterion) {
    let nodes = [
        [0.1, -0.1],
        [2.0, 0.2],
        [2.2, 1.4],
        [-0.1, 1.1],
        [1.05, 0.0],
        [2.15, 0.8],
        [1.0, 1.3],
        [-0.05, 0.5],
    ];
    let points = SQUARE_2X2.map(|(xi, weight)| {
        let plate = Measure::Plate { thickness: 3.0 };
        PointGeometry::new(&nodes, &quad8_values(xi), &quad8_gradients(xi), weight, plate)
            .expect("not folded")
    });
    let metal = Matrix4::from_diagonal(&Vector4::new(80e3, 80e3, 80e3, 27e3));
    let moved = nodes.map(|[x, y]| [0.001 * x * y, 0.002 * x]);
    criterion.bench_function("forces of an 8-node element", |bench| {
        bench.iter(|| forces(&points, &points.map(|point| metal * strain(&point, &moved, 0.0))));
    });
    let mut blocks = [[0.0; 4]; block_count(8)];
    criterion.bench_function("stiffness of an 8-node element", |bench| {
        bench.iter(|| stiffness(&points, &[metal; 4], &mut blocks));
    });
}

struct Nothing;

impl Observer for Nothing {
    fn increment(
        &mut self,
        _: &hoopset::process::history::HistoryRecord,
    ) -> std::ops::ControlFlow<()> {
        std::ops::ControlFlow::Break(())
    }

    fn snapshot(&mut self, _: Snapshot) -> std::ops::ControlFlow<()> {
        std::ops::ControlFlow::Continue(())
    }
}

fn factor(criterion: &mut Criterion) {
    let job = hoopset::parse(hoopset::case::DEMO, "demo.toml").expect("the demonstration").job;
    let mut sequence = Sequence::new(job).expect("meshes");
    sequence.run(&mut Nothing).expect("one increment");
    let matrix = sequence.system().tangent();
    let mut double = Factor::<f64>::new(matrix).expect("fits");
    let mut single = Factor::<f32>::with_plan(double.plan().clone());
    criterion.bench_function("factor of the demonstration, double", |bench| {
        bench.iter(|| double.factorize(matrix).expect("positive definite"));
    });
    criterion.bench_function("factor of the demonstration, single", |bench| {
        bench.iter(|| single.factorize(matrix).expect("positive definite"));
    });
    let mut right = vec![1.0; matrix.nrows()];
    criterion.bench_function("solution with it, single", |bench| {
        bench.iter(|| single.solve(&mut right, 1));
    });
}

criterion_group!(kernels, maps, element, factor);
criterion_main!(kernels);
