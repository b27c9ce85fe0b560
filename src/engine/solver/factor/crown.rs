//! The fronts above all branches: few, large, one after another.

use crate::solver::factor::branch::{Above, Branch};
use crate::solver::factor::front::{self, Lower, NotPositiveDefinite, Scratch};
use crate::solver::factor::plan::Plan;
use crate::solver::factor::scalar::Scalar;
use crate::solver::factor::sweep;

/// The crown's part of the factor.
#[derive(Debug)]
pub(super) struct Crown<T> {
    fronts: Vec<CrownFront<T>>,
    /// Updates of fronts whose parents are still to come.
    stack: Vec<T>,
    scratch: Scratch,
    /// Unknowns of the crown, of one right-hand side after another.
    unknowns: Vec<T>,
    /// How many there are of one right-hand side.
    size: usize,
    /// For the rows below one front.
    hand: Vec<T>,
    /// For every branch, the rows below its root, numbered as in `unknowns`.
    branch_rows: Vec<Vec<u32>>,
}

#[derive(Debug)]
struct CrownFront<T> {
    front: usize,
    panel: Vec<T>,
    /// First own column, and the rows below, numbered as in [`Crown::unknowns`].
    first: usize,
    places: Vec<u32>,
    /// Where each child leaves its update: a branch, or a place on the stack.
    children: Vec<Given>,
    /// Where the own update ends up on the stack.
    base: usize,
    /// Height of the stack while the front is at work.
    height: usize,
}

#[derive(Clone, Copy, Debug)]
enum Given {
    Branch(usize),
    Stack { front: usize, at: usize },
}

impl<T: Scalar> Crown<T> {
    pub(super) fn new(plan: &Plan) -> Self {
        let mut at_of = vec![usize::MAX; plan.fronts()];
        let mut branch_of = vec![usize::MAX; plan.fronts()];
        for (index, branch) in plan.branches.iter().enumerate() {
            branch_of[branch.end - 1] = index;
        }
        let mut place = vec![u32::MAX; plan.unknowns()];
        let mut size = 0;
        for column in plan.crown.iter().flat_map(|&front| plan.columns(front)) {
            place[column] = size;
            size += 1;
        }
        let mut fronts = Vec::with_capacity(plan.crown.len());
        let (mut height, mut widest) = (0, 0);
        for &front in &plan.crown {
            let mut base = height;
            let given = |&child: &u32| {
                let child = child as usize;
                match branch_of[child] {
                    usize::MAX => {
                        base = base.min(at_of[child]);
                        Given::Stack { front: child, at: at_of[child] }
                    }
                    branch => Given::Branch(branch),
                }
            };
            let children = plan.children(front).iter().map(given).collect();
            fronts.push(CrownFront {
                front,
                panel: vec![T::ZERO; plan.panel_size(front)],
                first: place[plan.columns(front).start] as usize,
                places: plan.rows(front).iter().map(|&row| place[row as usize]).collect(),
                children,
                base,
                height,
            });
            at_of[front] = base;
            height = base + plan.update_size(front);
            widest = widest.max(plan.width(front));
        }
        let of_rows = |front: usize| -> Vec<u32> {
            plan.rows(front).iter().map(|&row| place[row as usize]).collect()
        };
        let branch_rows = plan.branches.iter().map(|branch| of_rows(branch.end - 1)).collect();
        let longest = plan.crown.iter().map(|&front| plan.below(front)).max().unwrap_or(0);
        let room =
            plan.stack_room(plan.crown.iter().copied(), |child| branch_of[child] == usize::MAX);
        Self {
            fronts,
            stack: vec![T::ZERO; room],
            scratch: Scratch::new::<T>(widest),
            unknowns: vec![T::ZERO; size as usize],
            size: size as usize,
            hand: vec![T::ZERO; longest],
            branch_rows,
        }
    }

    pub(super) fn eliminate(
        &mut self,
        plan: &Plan,
        matrix: (&[usize], &[f64]),
        branches: &[Branch<T>],
    ) -> Result<(), NotPositiveDefinite> {
        for CrownFront { front, panel, children, base, height, .. } in &mut self.fronts {
            let own = plan.update_size(*front);
            panel.fill(T::ZERO);
            front::load(plan, *front, matrix, panel);
            let (below, above) = self.stack.split_at_mut(*height);
            let update = &mut above[..own];
            update.fill(T::ZERO);
            for &given in &*children {
                let child = match given {
                    Given::Branch(index) => {
                        (branches[index].root(), Lower::Packed(&branches[index].update))
                    }
                    Given::Stack { front, at } => {
                        (front, Lower::Square(&below[at..at + plan.update_size(front)]))
                    }
                };
                front::extend(plan, child, *front, panel, update);
            }
            let size = (plan.width(*front), plan.below(*front));
            front::eliminate_in_tiles(size, panel, update, &mut self.scratch)?;
            self.stack.copy_within(*height..*height + own, *base);
        }
        Ok(())
    }

    /// Takes the unknowns of the crown of every right-hand side and what the branches put on
    /// them, and solves for them.
    pub(super) fn sweep(
        &mut self,
        plan: &Plan,
        right: &[f64],
        columns: usize,
        branches: &[Branch<T>],
    ) {
        let Self { fronts, unknowns, size, hand, branch_rows, .. } = self;
        unknowns.resize(unknowns.len().max(columns * *size), T::ZERO);
        for (column, unknowns) in unknowns.chunks_mut((*size).max(1)).take(columns).enumerate() {
            let right = &right[column * plan.unknowns()..];
            for crown in &*fronts {
                let own = plan.columns(crown.front);
                for (x, &old) in unknowns[crown.first..].iter_mut().zip(&plan.order[own]) {
                    *x = T::of(right[old as usize]);
                }
            }
            for (branch, rows) in branches.iter().zip(&*branch_rows) {
                for (&row, &value) in rows.iter().zip(branch.handed_up(plan, column)) {
                    unknowns[row as usize] += value;
                }
            }
        }
        for crown in &*fronts {
            let own = (plan.width(crown.front), crown.first);
            for unknowns in unknowns.chunks_mut((*size).max(1)).take(columns) {
                sweep::up(&crown.panel, own, &crown.places, unknowns, hand);
            }
        }
        for crown in fronts.iter().rev() {
            let own = (plan.width(crown.front), crown.first);
            for unknowns in unknowns.chunks_mut((*size).max(1)).take(columns) {
                sweep::down(&crown.panel, own, &crown.places, unknowns, hand);
            }
        }
    }

    /// The crown as the branch with this number sees it.
    pub(super) fn above(&self, branch: usize) -> Above<'_, T> {
        Above { unknowns: &self.unknowns, size: self.size, rows: &self.branch_rows[branch] }
    }

    /// Puts the unknowns of the crown where they belong.
    pub(super) fn put(&self, plan: &Plan, column: usize, right: &mut [f64]) {
        let unknowns = &self.unknowns[column * self.size..];
        for crown in &self.fronts {
            let own = plan.columns(crown.front);
            for (x, &old) in unknowns[crown.first..].iter().zip(&plan.order[own]) {
                right[old as usize] = x.value();
            }
        }
    }
}
