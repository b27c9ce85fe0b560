//! Which figures are left out when there are more than a reader looks at.

/// Most figures of a run unless all are asked for: more than a reader looks at.
const MOST_FIGURES: usize = 80;

/// How soon a reader looks at a figure; beyond [`MOST_FIGURES`] the last go first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Rank {
    /// The answer: the last state over the plate, stresses along the paths, services.
    Answer,
    /// The same close up, hole by hole, and how each hole was expanded.
    Hole,
    /// How the answer came about: earlier states.
    Earlier,
}

/// Takes figures of the last ranks out until a reader can look at the rest; how many.
pub(super) fn thin_out<T>(jobs: &mut Vec<(Rank, T)>) -> usize {
    let before = jobs.len();
    let mut ranks: Vec<(Rank, usize)> =
        jobs.iter().enumerate().map(|(place, (rank, _))| (*rank, place)).collect();
    ranks.sort_unstable();
    let kept: Vec<usize> = ranks.iter().take(MOST_FIGURES).map(|(_, place)| *place).collect();
    let mut place = 0;
    jobs.retain(|_| {
        place += 1;
        kept.contains(&(place - 1))
    });
    before - jobs.len()
}
