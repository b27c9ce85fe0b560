//! A subtree of fronts that one thread eliminates, with its part of the factor.

use std::ops::Range;

use crate::solver::factor::front::{self, Lower, NotPositiveDefinite, Scratch};
use crate::solver::factor::plan::Plan;
use crate::solver::factor::scalar::Scalar;
use crate::solver::factor::sweep;

/// One branch.
#[derive(Debug)]
pub(super) struct Branch<T> {
    fronts: Range<usize>,
    /// Panels, one after another.
    values: Vec<T>,
    /// Update that the root hands to the crown, packed.
    pub(super) update: Vec<T>,
    /// Own unknowns, then the rows below the root, of one right-hand side after another.
    unknowns: Vec<T>,
    /// Rows below every front, numbered as in `unknowns`.
    places: Vec<u32>,
    /// For the rows below one front.
    hand: Vec<T>,
    /// Whether the values are those of a factor.
    stands: bool,
}

/// Memory of a thread while it eliminates a branch.
#[derive(Debug)]
pub(super) struct Workshop<T> {
    /// Updates of fronts whose parents are still to come.
    stack: Vec<T>,
    scratch: Scratch,
}

/// Unknowns of the crown as one branch reads them.
pub(super) struct Above<'a, T> {
    /// Unknowns of the crown, of one right-hand side after another.
    pub(super) unknowns: &'a [T],
    /// How many there are of one right-hand side.
    pub(super) size: usize,
    /// Rows below the root of the branch, numbered as in `unknowns`.
    pub(super) rows: &'a [u32],
}

impl<T: Scalar> Above<'_, T> {
    /// Unknowns below the root of the branch, of one right-hand side.
    fn read(&self, column: usize, target: &mut [T]) {
        let unknowns = &self.unknowns[column * self.size..];
        for (x, &row) in target.iter_mut().zip(self.rows) {
            *x = unknowns[row as usize];
        }
    }
}

impl<T: Scalar> Workshop<T> {
    pub(super) fn new(room: usize, widest: usize) -> Self {
        Self { stack: vec![T::ZERO; room], scratch: Scratch::new::<T>(widest) }
    }
}

impl<T: Scalar> Branch<T> {
    pub(super) fn new(plan: &Plan, fronts: Range<usize>) -> Self {
        let size = fronts.clone().map(|front| plan.panel_size(front)).sum();
        let root = fronts.end - 1;
        let own = plan.columns(fronts.start).start..plan.columns(root).end;
        // Rows beyond the branch are all below its root.
        let outside = plan.rows(root);
        let place = |&row: &u32| {
            let inside = (row as usize) < own.end;
            let place = if inside {
                row as usize - own.start
            } else {
                own.len() + outside.binary_search(&row).expect("rows below a front climb the tree")
            };
            u32::try_from(place).expect("fewer than there are unknowns")
        };
        let places = fronts.clone().flat_map(|front| plan.rows(front)).map(place).collect();
        let unknowns = vec![T::ZERO; own.len() + outside.len()];
        let most = fronts.clone().map(|front| plan.below(front)).max().unwrap_or(0);
        Self {
            values: vec![T::ZERO; size],
            update: vec![T::ZERO; front::packed(plan.below(root))],
            unknowns,
            places,
            hand: vec![T::ZERO; most],
            fronts,
            stands: false,
        }
    }

    /// Whether the branch has been eliminated.
    pub(super) fn stands(&self) -> bool {
        self.stands
    }

    /// Values that a workshop's stack must hold.
    pub(super) fn room(&self, plan: &Plan) -> usize {
        plan.stack_room(self.fronts.clone(), |_| true)
    }

    pub(super) fn root(&self) -> usize {
        self.fronts.end - 1
    }

    fn own(&self, plan: &Plan) -> Range<usize> {
        plan.columns(self.fronts.start).start..plan.columns(self.root()).end
    }

    pub(super) fn eliminate(
        &mut self,
        plan: &Plan,
        matrix: (&[usize], &[f64]),
        workshop: &mut Workshop<T>,
    ) -> Result<(), NotPositiveDefinite> {
        let Workshop { stack, scratch } = workshop;
        self.stands = false;
        self.values.fill(T::ZERO);
        let mut rest = &mut self.values[..];
        let mut height = 0;
        for front in self.fronts.clone() {
            let panel = rest.split_off_mut(..plan.panel_size(front)).expect("as many as counted");
            let own = plan.update_size(front);
            let children = plan.children(front);
            let taken: usize = children.iter().map(|&child| plan.update_size(child as usize)).sum();
            front::load(plan, front, matrix, panel);
            let (below, above) = stack.split_at_mut(height);
            let update = &mut above[..own];
            let fresh = children.is_empty();
            if !fresh {
                update.fill(T::ZERO);
            }
            let mut given = &below[height - taken..];
            for &child in children {
                let (one, others) = given.split_at(plan.update_size(child as usize));
                front::extend(plan, (child as usize, Lower::Square(one)), front, panel, update);
                given = others;
            }
            let size = (plan.width(front), plan.below(front));
            front::eliminate(size, panel, update, fresh, scratch)?;
            if taken > 0 {
                stack.copy_within(height..height + own, height - taken);
            }
            height = height - taken + own;
        }
        let handed = plan.below(self.root());
        front::pack(&stack[..handed * handed], handed, &mut self.update);
        self.stands = true;
        Ok(())
    }

    /// Takes the own unknowns of every right-hand side and eliminates them.
    pub(super) fn sweep_up(&mut self, plan: &Plan, right: &[f64], columns: usize) {
        let own = self.own(plan);
        let size = own.len() + plan.below(self.root());
        self.unknowns.resize(self.unknowns.len().max(columns * size), T::ZERO);
        for (column, unknowns) in self.unknowns.chunks_mut(size).take(columns).enumerate() {
            let right = &right[column * plan.unknowns()..];
            for (x, &old) in unknowns.iter_mut().zip(&plan.order[own.clone()]) {
                *x = T::of(right[old as usize]);
            }
            unknowns[own.len()..].fill(T::ZERO);
        }
        // The values of a front are what takes time to fetch: they serve every column at once.
        let (mut values, mut places) = (&self.values[..], &self.places[..]);
        for front in self.fronts.clone() {
            let panel = values.split_off(..plan.panel_size(front)).expect("as many as there");
            let rows = places.split_off(..plan.below(front)).expect("as many as there");
            let first = plan.columns(front).start - own.start;
            for unknowns in self.unknowns.chunks_mut(size).take(columns) {
                sweep::up(panel, (plan.width(front), first), rows, unknowns, &mut self.hand);
            }
        }
    }

    /// Effect of the own unknowns of a right-hand side on the rows below the root.
    pub(super) fn handed_up(&self, plan: &Plan, column: usize) -> &[T] {
        let (own, below) = (self.own(plan).len(), plan.below(self.root()));
        &self.unknowns[column * (own + below)..][own..own + below]
    }

    /// Finds the own unknowns from those of the crown.
    pub(super) fn sweep_down(&mut self, plan: &Plan, crown: &Above<'_, T>, columns: usize) {
        let own = self.own(plan);
        let root = self.root();
        let size = own.len() + plan.below(root);
        for (column, unknowns) in self.unknowns.chunks_mut(size).take(columns).enumerate() {
            crown.read(column, &mut unknowns[own.len()..]);
        }
        let (mut values, mut places) = (&self.values[..], &self.places[..]);
        for front in self.fronts.clone().rev() {
            let split = values.len() - plan.panel_size(front);
            let panel = values.split_off(split..).expect("as many as there");
            let split = places.len() - plan.below(front);
            let rows = places.split_off(split..).expect("as many as there");
            let first = plan.columns(front).start - own.start;
            for unknowns in self.unknowns.chunks_mut(size).take(columns) {
                sweep::down(panel, (plan.width(front), first), rows, unknowns, &mut self.hand);
            }
        }
    }

    /// Puts the own unknowns where they belong.
    pub(super) fn put(&self, plan: &Plan, column: usize, right: &mut [f64]) {
        let own = self.own(plan);
        let size = own.len() + plan.below(self.root());
        for (x, &old) in self.unknowns[column * size..].iter().zip(&plan.order[own]) {
            right[old as usize] = x.value();
        }
    }
}
