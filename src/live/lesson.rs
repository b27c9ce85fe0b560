//! A lesson of the course beside its case: the page of the lesson in parts, a prediction, exercises with answers.
//!
//! The parts are those of the page in `examples/`: what is asked comes first, the hand calculation and the
//! results after the prediction, the answers last. `examples/questions.toml` has what is asked for as numbers.

use std::fmt;

use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd, html};
use serde::{Deserialize, Serialize};

use crate::numeric::nearest::nearest;
use crate::texts;

/// Names of the lessons, in the order of the course.
const LESSONS: [&str; 20] = [
    "spring_back",
    "first_hole",
    "thick_cylinder",
    "unloading_line",
    "plane_stress_or_strain",
    "reverse_yielding",
    "what_the_ream_takes",
    "edge_margin",
    "lug",
    "order_of_work",
    "three_hole_row",
    "hole_spacing",
    "load_after_expansion",
    "overload",
    "loaded_fastener",
    "is_it_worth_it",
    "fringes",
    "rim_thickness",
    "one_reversal",
    "entry_face",
];

/// Heads of the parts that are read before the prediction.
const BEFORE: [&str; 4] = ["Question", "What do you expect?", "What one expects", "Case"];

/// The prediction before the run.
#[derive(Clone, Debug, Deserialize, PartialEq, Serialize)]
pub struct Prediction {
    /// The question, without its unit.
    pub ask: String,
    /// Unit of the answer.
    pub unit: String,
    /// Least value that can be chosen.
    pub low: f64,
    /// Largest value that can be chosen.
    pub high: f64,
    /// Stage, hole and direction of the answer in `headlines.csv`.
    pub stage: String,
    /// Name of the hole.
    pub hole: String,
    /// Direction, degrees.
    pub angle: f64,
    /// Column of the answer.
    pub column: String,
}

/// An exercise whose answer is a number.
#[derive(Clone, Debug, Deserialize, PartialEq, Serialize)]
pub struct Exercise {
    /// The question, with the number of the exercise.
    pub ask: String,
    /// Unit of the answer.
    pub unit: String,
    /// The answer, as it stands in the page.
    pub answer: String,
    /// How far from it a right answer may be, as a fraction.
    pub within: f64,
}

#[derive(Clone, Debug, Deserialize)]
struct Asked {
    predict: Prediction,
    #[serde(default)]
    exercise: Vec<Exercise>,
}

/// A lesson, its page as HTML.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Lesson {
    /// Name of its files.
    pub name: &'static str,
    /// Heading of its page.
    pub title: String,
    /// Read before the prediction.
    pub before: String,
    /// Read after it.
    pub after: String,
    /// Tasks.
    pub exercises: String,
    /// Their answers.
    pub answers: String,
    /// The prediction.
    pub predict: Prediction,
    /// Exercises that are checked.
    pub checked: Vec<Exercise>,
    /// Its case file.
    #[serde(skip)]
    pub case: &'static str,
}

/// A name that no lesson has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoSuchLesson(pub String);

impl NoSuchLesson {
    /// The lesson that was probably meant, else all.
    #[must_use]
    pub fn hint(&self) -> String {
        match nearest(&self.0, names()) {
            Some(meant) => format!("did you mean `{meant}`?"),
            None => format!("lessons: {}", names().collect::<Vec<_>>().join(", ")),
        }
    }
}

impl fmt::Display for NoSuchLesson {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "there is no lesson `{}`", self.0)
    }
}

impl std::error::Error for NoSuchLesson {}

/// Names of all lessons, in the order of the course.
pub fn names() -> impl Iterator<Item = &'static str> {
    LESSONS.into_iter()
}

/// The lesson called `name`.
///
/// # Errors
///
/// [`NoSuchLesson`].
///
/// # Panics
///
/// When the questions inside the program are damaged, which a test excludes.
pub fn lesson(name: &str) -> Result<Lesson, NoSuchLesson> {
    let found = names().find(|known| *known == name);
    let name = found.ok_or_else(|| NoSuchLesson(name.to_owned()))?;
    let [page, case] =
        ["md", "toml"].map(|ending| texts::text(&format!("examples/{name}.{ending}")));
    let mut asked: std::collections::BTreeMap<String, Asked> =
        toml::from_str(texts::text("examples/questions.toml"))
            .expect("the questions are read by a test");
    let Asked { predict, exercise } = asked.remove(name).expect("a test asks for every lesson");
    let mut lesson = Lesson {
        name,
        title: page.lines().next().unwrap_or_default().trim_start_matches("# ").to_owned(),
        before: String::new(),
        after: String::new(),
        exercises: String::new(),
        answers: String::new(),
        predict,
        checked: exercise,
        case,
    };
    for (head, text) in parts(page) {
        let place = match head {
            _ if BEFORE.contains(&head) => &mut lesson.before,
            "Exercise" | "Exercises" => &mut lesson.exercises,
            "Answer" | "Answers" => &mut lesson.answers,
            _ => &mut lesson.after,
        };
        place.push_str(&markup(text));
    }
    Ok(lesson)
}

/// The parts of a page: head without its full stop, and text with the head.
fn parts(page: &str) -> Vec<(&str, &str)> {
    let starts: Vec<usize> = page.match_indices("\n**").map(|(at, _)| at + 1).collect();
    let ends = starts.iter().skip(1).copied().chain([page.len()]);
    let part = |(&from, to): (&usize, usize)| {
        let text = &page[from..to];
        let head = text.trim_start_matches('*').split("**").next().unwrap_or_default();
        (head.trim_end_matches('.'), text)
    };
    starts.iter().zip(ends).map(part).collect()
}

/// Markdown as HTML, without pictures, remarks and links: the page stands alone.
fn markup(text: &str) -> String {
    let mut skipped = 0;
    let events = Parser::new_ext(text, Options::ENABLE_TABLES).filter(move |event| match event {
        Event::Start(Tag::Image { .. }) => {
            skipped += 1;
            false
        }
        Event::End(TagEnd::Image) => {
            skipped -= 1;
            false
        }
        Event::Html(_)
        | Event::InlineHtml(_)
        | Event::Start(Tag::Link { .. } | Tag::HtmlBlock)
        | Event::End(TagEnd::Link | TagEnd::HtmlBlock) => false,
        _ => skipped == 0,
    });
    let mut out = String::new();
    html::push_html(&mut out, events);
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::parse;

    #[test]
    fn every_lesson_has_its_parts_and_its_questions_belong_to_its_case() {
        for name in names() {
            let lesson = lesson(name).expect("a lesson");
            assert!(lesson.before.contains("Question") && lesson.before.contains("Case"), "{name}");
            assert!(!lesson.after.is_empty() && !lesson.title.is_empty(), "{name}");
            let case = parse(lesson.case, name).expect("a case");
            let holes: Vec<&str> = case.job.plate.holes.iter().map(|h| h.name.as_str()).collect();
            assert!(holes.contains(&lesson.predict.hole.as_str()), "{name}");
            let labels = case.job.stages.iter().enumerate().map(|(k, s)| s.label(k + 1, &holes));
            let stage = lesson.predict.stage.trim_end_matches("-full");
            assert!(labels.into_iter().any(|label| label == stage), "{name}: {stage}");
            for exercise in &lesson.checked {
                assert!(lesson.answers.contains(&exercise.answer), "{name}: {}", exercise.answer);
            }
            assert!(!lesson.after.contains("<img") && !lesson.after.contains("<!--"), "{name}");
        }
        assert_eq!(names().count(), 20);
        assert!(lesson("spring_bak").expect_err("no such").hint().contains("spring_back"));
    }
}
