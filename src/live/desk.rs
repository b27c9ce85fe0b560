//! Where questions of pages arrive: one is solved at a time, and of one page only the newest.

use std::collections::VecDeque;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use crate::live::Trouble;
use crate::live::answer::{Accuracy, Answer, Increments, Ticket, Workshop};
use crate::live::deck::{Deck, Moves};
use crate::live::section::{SectionAnswer, section_case, solve};
use crate::study::bracket::ReadBounds;

/// Answers that are kept, for another stage, a line or a table of the same state.
const KEPT: usize = 3;
/// An answer with more nodes over all stages is not kept.
const LARGEST_KEPT: usize = 400_000;
/// Pages that are told apart; a page beyond takes the place of the one that asked longest ago.
const PAGES: usize = 8;

/// One case, its pages and their questions.
#[derive(Debug)]
pub struct Desk {
    /// The case and its controls.
    pub deck: Deck,
    workshop: Workshop,
    gate: Mutex<()>,
    pages: Mutex<VecDeque<(u64, Arc<Ticket>)>>,
    kept: Mutex<VecDeque<(String, Accuracy, Arc<Answer>)>>,
    sections: Mutex<VecDeque<Arc<SectionAnswer>>>,
    closed: AtomicBool,
}

impl Desk {
    /// A desk for `deck`.
    #[must_use]
    pub fn new(deck: Deck) -> Self {
        Self {
            deck,
            workshop: Workshop::default(),
            gate: Mutex::default(),
            pages: Mutex::default(),
            kept: Mutex::default(),
            sections: Mutex::default(),
            closed: AtomicBool::new(false),
        }
    }

    /// Stops every question and takes no more.
    pub fn close(&self) {
        self.closed.store(true, Ordering::SeqCst);
        lock(&self.pages).iter().for_each(|(_, ticket)| ticket.stop());
    }

    /// How far the question of `page` is, 0 to 1.
    #[must_use]
    pub fn share(&self, page: u64) -> f64 {
        let pages = lock(&self.pages);
        pages.iter().find(|(known, _)| *known == page).map_or(0.0, |(_, ticket)| ticket.share())
    }

    /// The answer to `moves`; stops whatever else `page` has asked.
    ///
    /// # Errors
    ///
    /// [`Trouble`], [`Trouble::Superseded`] when a newer question of the page came.
    pub fn answer(
        &self,
        page: u64,
        moves: &Moves,
        accuracy: Accuracy,
    ) -> Result<Arc<Answer>, Trouble> {
        let ticket = self.ticket(page);
        let case = self.deck.case(moves)?;
        if let Some(answer) = self.known(&case.text, accuracy) {
            return Ok(answer);
        }
        let _turn = self.turn(&ticket)?;
        // While it waited another may have solved it.
        if let Some(answer) = self.known(&case.text, accuracy) {
            return Ok(answer);
        }
        let answer = Arc::new(self.workshop.solve(case, accuracy, &ticket)?);
        self.keep(&answer);
        Ok(answer)
    }

    /// The answer to `moves` that is at hand, else as [`Desk::answer`]. One at hand stops nothing.
    ///
    /// # Errors
    ///
    /// As [`Desk::answer`].
    pub fn look(
        &self,
        page: u64,
        moves: &Moves,
        accuracy: Accuracy,
    ) -> Result<Arc<Answer>, Trouble> {
        let text = self.deck.case(moves)?.text;
        self.known(&text, accuracy).map_or_else(|| self.answer(page, moves, accuracy), Ok)
    }

    /// The increments of `moves`, coarsely; stops whatever else `page` has asked.
    ///
    /// # Errors
    ///
    /// As [`Desk::answer`].
    pub fn increments(&self, page: u64, moves: &Moves) -> Result<Increments, Trouble> {
        let ticket = self.ticket(page);
        let case = self.deck.case(moves)?;
        let _turn = self.turn(&ticket)?;
        self.workshop.increments(&case, &ticket)
    }

    /// The paths of `moves` under the bounding hardening laws; stops whatever else `page` has asked.
    ///
    /// # Errors
    ///
    /// As [`Desk::answer`].
    pub fn bounds(&self, page: u64, moves: &Moves) -> Result<ReadBounds, Trouble> {
        let ticket = self.ticket(page);
        let case = self.deck.case(moves)?;
        let _turn = self.turn(&ticket)?;
        self.workshop.bounds(&case, &ticket)
    }

    /// The section of hole `hole` of `moves`, of the first that has one when empty; stops whatever else `page` has
    /// asked. A section that another position has as well is not solved again.
    ///
    /// # Errors
    ///
    /// As [`Desk::answer`].
    pub fn section(
        &self,
        page: u64,
        moves: &Moves,
        hole: &str,
        accuracy: Accuracy,
    ) -> Result<Arc<SectionAnswer>, Trouble> {
        let ticket = self.ticket(page);
        let case = section_case(&self.deck.case(moves)?, hole, accuracy)?;
        let known = || {
            let kept = lock(&self.sections);
            kept.iter()
                .find(|its| its.case.job == case.job && its.case.units == case.units)
                .cloned()
        };
        if let Some(answer) = known() {
            return Ok(answer);
        }
        let _turn = self.turn(&ticket)?;
        // While it waited another may have solved it.
        if let Some(answer) = known() {
            return Ok(answer);
        }
        let answer = Arc::new(solve(case, accuracy, &ticket)?);
        let mut kept = lock(&self.sections);
        if kept.len() == KEPT {
            kept.pop_front();
        }
        kept.push_back(Arc::clone(&answer));
        Ok(answer)
    }

    /// A new ticket for `page`; its old one is stopped.
    fn ticket(&self, page: u64) -> Arc<Ticket> {
        let ticket = Arc::new(Ticket::default());
        let mut pages = lock(&self.pages);
        if let Some(place) = pages.iter().position(|(known, _)| *known == page) {
            if let Some((_, old)) = pages.remove(place) {
                old.stop();
            }
        } else if pages.len() == PAGES
            && let Some((_, oldest)) = pages.pop_front()
        {
            oldest.stop();
        }
        pages.push_back((page, Arc::clone(&ticket)));
        if self.closed.load(Ordering::SeqCst) {
            ticket.stop();
        }
        ticket
    }

    /// Waits until nothing else is solved.
    fn turn(&self, ticket: &Ticket) -> Result<MutexGuard<'_, ()>, Trouble> {
        let turn = lock(&self.gate);
        if ticket.stopped() { Err(Trouble::Superseded) } else { Ok(turn) }
    }

    fn known(&self, text: &str, accuracy: Accuracy) -> Option<Arc<Answer>> {
        let kept = lock(&self.kept);
        let same =
            |(its, how, _): &&(String, Accuracy, Arc<Answer>)| its == text && *how == accuracy;
        kept.iter().find(same).map(|(.., answer)| Arc::clone(answer))
    }

    fn keep(&self, answer: &Arc<Answer>) {
        let nodes: usize = answer.stages.iter().map(|stage| stage.mesh.nodes.len()).sum();
        if nodes > LARGEST_KEPT {
            return;
        }
        let mut kept = lock(&self.kept);
        if kept.len() == KEPT {
            kept.pop_front();
        }
        kept.push_back((answer.case.text.clone(), answer.accuracy, Arc::clone(answer)));
    }
}

/// The content of a mutex; a thread that panicked leaves it whole.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
