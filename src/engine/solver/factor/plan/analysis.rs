//! The analysis that makes a plan: order and fronts by the library, then tree, blocks and branches.

use faer::sparse::SymbolicSparseColMatRef;
use faer::sparse::linalg::cholesky::SymbolicCholeskyRaw;
use nalgebra_sparse::CscMatrix;

use crate::solver::factor::plan::{Block, NONE, Plan, TooLarge, small};
use crate::solver::factor::supernodes::supernodes;

/// Largest share of the work that a branch may have: small enough that a few threads are evenly
/// loaded, large enough that little is left for the crown.
const BRANCH_SHARE: f64 = 1.0 / 16.0;

impl Plan {
    /// Analyses the pattern of `matrix`, a lower triangle whose unknowns come one by one or in pairs
    /// of neighbours that couple alike, as those of a node (`together`, one or two): pairs are put
    /// in order and joined to fronts as a whole, which is quicker to find.
    ///
    /// # Errors
    ///
    /// [`TooLarge`].
    ///
    /// # Panics
    ///
    /// When the unknowns are no multiple of `together`, or that is neither one nor two.
    pub fn new(matrix: &CscMatrix<f64>, together: usize) -> Result<Self, TooLarge> {
        let (offsets, rows, _) = matrix.csc_data();
        let unknowns = matrix.nrows();
        assert!(matches!(together, 1 | 2), "unknowns come one by one or in pairs");
        assert_eq!(unknowns % together, 0, "unknowns come in whole groups");
        if u32::try_from(rows.len()).is_err() || u32::try_from(unknowns).is_err() {
            return Err(TooLarge);
        }
        let groups = unknowns / together;
        let (group_offsets, group_rows) = among_groups(offsets, rows, together);
        let symbolic = supernodes(SymbolicSparseColMatRef::new_checked(
            groups,
            groups,
            &group_offsets,
            None,
            &group_rows,
        ))?;
        let members = |&group: &usize| group * together..(group + 1) * together;
        let (order, place) = symbolic.perm().expect("an order was asked for").arrays();
        let order = order.iter().flat_map(members).map(small).collect();
        let mut plan = Self { together, order, ..Self::default() };
        plan.begin.clear();
        match symbolic.raw() {
            SymbolicCholeskyRaw::Supernodal(fronts) => {
                let count = fronts.n_supernodes();
                let begin = &fronts.supernode_begin()[..count];
                plan.begin.extend(begin.iter().map(|&at| small(at * together)));
                for front in 0..count {
                    let start = fronts.col_ptr_for_row_idx()[front];
                    let below = &fronts.row_idx()[start..start + fronts.nnz_per_super()[front]];
                    plan.rows.extend(below.iter().flat_map(members).map(small));
                    plan.row_start.push(plan.rows.len());
                }
            }
            // Only where there is nothing to eliminate: a matrix of a diagonal alone.
            SymbolicCholeskyRaw::Simplicial(_) => {
                plan.begin.extend((0..groups).map(|group| small(group * together)));
                plan.row_start.resize(groups + 1, 0);
            }
        }
        plan.begin.push(small(unknowns));
        let mut owner = vec![0; unknowns];
        for front in 0..plan.fronts() {
            owner[plan.columns(front)].fill(small(front));
        }
        let parent = plan.parents(&owner);
        plan.link(&parent);
        plan.sort_blocks(offsets, rows, place, &owner);
        plan.place_all();
        plan.cut(&parent);
        Ok(plan)
    }

    /// Parent of every front: the owner of its first row below.
    fn parents(&self, owner: &[u32]) -> Vec<u32> {
        let parent = |front: usize| self.rows(front).first().map_or(NONE, |&r| owner[r as usize]);
        (0..self.fronts()).map(parent).collect()
    }

    fn link(&mut self, parent: &[u32]) {
        let mut start = vec![0; parent.len() + 1];
        for &up in parent.iter().filter(|&&up| up != NONE) {
            start[up as usize + 1] += 1;
        }
        for front in 0..parent.len() {
            start[front + 1] += start[front];
        }
        let mut next = start.clone();
        self.children = vec![0; start[parent.len()] as usize];
        for (front, &up) in parent.iter().enumerate().filter(|(_, up)| **up != NONE) {
            self.children[next[up as usize] as usize] = small(front);
            next[up as usize] += 1;
        }
        self.child_start = start;
    }

    /// Sorts the blocks of the matrix by front; `place` is that of every group.
    fn sort_blocks(&mut self, offsets: &[usize], rows: &[usize], place: &[usize], owner: &[u32]) {
        let together = self.together;
        let each = |mut visit: Box<dyn FnMut(Block, usize, usize) + '_>| {
            for group in 0..place.len() {
                let column = &rows[offsets[together * group]..offsets[together * group + 1]];
                for (at, row) in column.iter().enumerate().filter(|(_, row)| *row % together == 0) {
                    let (a, b) = (place[group], place[row / together]);
                    let block = Block::new(group, a > b, at);
                    visit(block, together * a.min(b), together * a.max(b));
                }
            }
        };
        let mut start = vec![0; self.fronts() + 1];
        each(Box::new(|_, column, _| start[owner[column] as usize + 1] += 1));
        for front in 0..self.fronts() {
            start[front + 1] += start[front];
        }
        let mut next = start.clone();
        let mut sorted = vec![(Block::new(0, false, 0), 0, 0); start[self.fronts()]];
        each(Box::new(|block, column, row| {
            let at = &mut next[owner[column] as usize];
            sorted[*at] = (block, small(column), small(row));
            *at += 1;
        }));
        let mut local = vec![NONE; self.unknowns()];
        let mut blocks = Vec::with_capacity(sorted.len());
        for front in 0..self.fronts() {
            let height = self.width(front) + self.below(front);
            let first = self.columns(front).start;
            self.number(front, &mut local);
            blocks.extend(sorted[start[front]..start[front + 1]].iter().map(
                |&(block, column, row)| {
                    let place = (column as usize - first) * height + local[row as usize] as usize;
                    Block { target: small(place), ..block }
                },
            ));
        }
        self.entries = rows.len();
        self.block_start = start;
        self.blocks = blocks;
    }

    /// Writes the place of every row of a front into `local`; other rows keep what they had.
    fn number(&self, front: usize, local: &mut [u32]) {
        let columns = self.columns(front);
        let width = columns.len();
        for (k, column) in columns.enumerate() {
            local[column] = small(k);
        }
        for (k, &row) in self.rows(front).iter().enumerate() {
            local[row as usize] = small(width + k);
        }
    }

    fn place_all(&mut self) {
        let mut in_parent = vec![0; self.rows.len()];
        let mut local = vec![NONE; self.unknowns()];
        for front in 0..self.fronts() {
            self.number(front, &mut local);
            for &child in self.children(front) {
                let range = self.row_start[child as usize]..self.row_start[child as usize + 1];
                for (place, &row) in in_parent[range.clone()].iter_mut().zip(&self.rows[range]) {
                    *place = local[row as usize];
                }
            }
        }
        self.in_parent = in_parent;
    }

    /// Cuts the tree into branches and crown.
    fn cut(&mut self, parent: &[u32]) {
        let mut work: Vec<f64> = (0..self.fronts()).map(|front| self.work_of(front)).collect();
        let mut first: Vec<usize> = (0..self.fronts()).collect();
        for front in 0..self.fronts() {
            if parent[front] != NONE {
                let up = parent[front] as usize;
                work[up] += work[front];
                first[up] = first[up].min(first[front]);
            }
        }
        let roots = (0..self.fronts()).filter(|&front| parent[front] == NONE);
        let most = BRANCH_SHARE * roots.map(|root| work[root]).sum::<f64>();
        for front in 0..self.fronts() {
            if work[front] > most {
                self.crown.push(front);
            } else if parent[front] == NONE || work[parent[front] as usize] > most {
                self.branches.push(first[front]..front + 1);
            }
        }
        self.branch_of = vec![NONE; self.unknowns() / self.together];
        for (index, branch) in self.branches.iter().enumerate() {
            let columns = self.columns(branch.start).start..self.columns(branch.end - 1).end;
            for &unknown in &self.order[columns] {
                self.branch_of[unknown as usize / self.together] = small(index);
            }
        }
    }
}

/// The pattern of whole groups of `together` unknowns, by that of the first of each.
fn among_groups(offsets: &[usize], rows: &[usize], together: usize) -> (Vec<usize>, Vec<usize>) {
    let mut group_rows = Vec::with_capacity(rows.len() / (together * together));
    let mut group_offsets = vec![0];
    for first in (0..offsets.len() - 1).step_by(together) {
        let column = &rows[offsets[first]..offsets[first + 1]];
        group_rows
            .extend(column.iter().filter(|&row| row % together == 0).map(|row| row / together));
        group_offsets.push(group_rows.len());
    }
    (group_offsets, group_rows)
}
