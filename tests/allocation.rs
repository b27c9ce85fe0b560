//! The increment loop asks for no memory that grows with the mesh.
//!
//! An increment asks only for its record and the few small matrices of the bordered system.
#![allow(clippy::unwrap_used, missing_docs)]
#![allow(clippy::print_stdout, reason = "what was measured, for `--nocapture`")]

mod common;

use std::alloc::System as SystemAllocator;
use std::ops::ControlFlow;

use common::expansion::{expand, ready, rigid};
use common::metals::combined;
use common::plates::rectangle;
use hoopset::material::idealisation::Idealisation;
use hoopset::process::job::{Job, Numerics};
use hoopset::solver::increment::PhaseEnd;
use hoopset::solver::prescribed::Drive;
use stats_alloc::{INSTRUMENTED_SYSTEM, Region, StatsAlloc};

#[global_allocator]
static ALLOCATOR: &StatsAlloc<SystemAllocator> = &INSTRUMENTED_SYSTEM;

/// Unknowns, and the most allocations and bytes of one increment once all has been used once.
fn most(fineness: f64) -> (usize, usize, usize) {
    let job = Job {
        plate: rectangle(40.0, 30.0, &[[8.0, 15.0, 2.85]]),
        idealisation: Idealisation::PlaneStress,
        material: combined(),
        stages: vec![expand(rigid(5.92))],
        numerics: Numerics { fineness, increments: 12, ..Numerics::default() },
        supports: vec![],
        regions: vec![],
    };
    let (mut system, mut state, start) = ready(&job);
    let drive = Drive { tool: Some((0, [start, 2.96])), step: 1.0 / 12.0, ..Drive::default() };
    let unknowns = 2 * system.mesh.nodes.len();
    let (mut count, mut allocations, mut bytes) = (0, 0, 0);
    let mut region = Region::new(ALLOCATOR);
    let end = system.run_phase(&mut state, &drive, |_, _, increment| {
        let change = region.change_and_reset();
        count += 1;
        println!(
            "{count}: {} allocations, {} bytes, {} iterations",
            change.allocations,
            change.bytes_allocated,
            increment.iterations.residuals.len()
        );
        if count > 4 {
            allocations = allocations.max(change.allocations + change.reallocations);
            bytes = bytes.max(change.bytes_allocated);
        }
        ControlFlow::Continue(())
    });
    assert_eq!(end, PhaseEnd::Done);
    (unknowns, allocations, bytes)
}

#[test]
fn an_increment_asks_for_no_memory_that_grows_with_the_mesh() {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    let ((few, of_few, bytes_of_few), (many, of_many, bytes_of_many)) =
        pool.install(|| (most(0.4), most(1.2)));
    println!("{few} unknowns: {of_few}, {bytes_of_few} B; {many}: {of_many}, {bytes_of_many} B");
    assert!(many > 5 * few);
    // One vector over all unknowns would be sixty times as much.
    for (allocations, bytes) in [(of_few, bytes_of_few), (of_many, bytes_of_many)] {
        assert!(allocations <= 32, "{allocations}");
        assert!(bytes <= 1024, "{bytes}");
    }
}
