//! The page and its questions over HTTP, on the loopback address alone.
//!
//! Every address begins with a token that only the one who started the program has been told; the `Host`
//! must be the loopback address and port, and the `Origin`, where there is one, this server. No request names a file.
//! Connections, requests a second, heads, bodies and waiting times have limits.

use std::io;
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::case::Case;
use crate::live::answer::Answer;
use crate::live::deck::Deck;
use crate::live::desk::Desk;
use crate::live::files::file;
use crate::live::http::{Request, Response, Unread, read};
use crate::live::lesson::Lesson;
use crate::live::question::Question;
use crate::live::section::SectionAnswer;
use crate::live::{Trouble, pack};
use crate::process::measured::Measured;
use crate::report::csv;
use crate::report::section::{section_csv, travel_csv};
use crate::result::sampling::Sampler;

/// Connections at a time.
const CONNECTIONS: usize = 16;
/// Requests a second, over all connections.
const RATE: usize = 200;
/// A connection that is silent for longer is closed.
const SILENCE: Duration = Duration::from_secs(30);
/// How often the server looks whether it should end.
const LOOK: Duration = Duration::from_millis(100);
/// Points along a line that is asked for.
const LINE_STEPS: usize = 240;

/// A page that stands ready.
#[derive(Debug)]
pub struct Server {
    listener: TcpListener,
    shared: Arc<Shared>,
}

#[derive(Debug)]
struct Shared {
    desk: Desk,
    lesson: Option<Lesson>,
    token: String,
    port: u16,
    connections: AtomicUsize,
    second: Mutex<(Instant, usize)>,
}

impl Server {
    /// A page about `deck` on the loopback address, at `port`, or at a free one for 0, with a lesson beside it or
    /// without. `token` begins every path.
    ///
    /// # Errors
    ///
    /// When the port cannot be had.
    pub fn new(deck: Deck, lesson: Option<Lesson>, port: u16, token: String) -> io::Result<Self> {
        let listener = TcpListener::bind(SocketAddr::from((Ipv4Addr::LOCALHOST, port)))?;
        let port = listener.local_addr()?.port();
        let shared = Shared {
            desk: Desk::new(deck),
            lesson,
            token,
            port,
            connections: AtomicUsize::new(0),
            second: Mutex::new((Instant::now(), 0)),
        };
        Ok(Self { listener, shared: Arc::new(shared) })
    }

    /// Where the page is.
    #[must_use]
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}/{}/", self.shared.port, self.shared.token)
    }

    /// Serves until `stop` is raised, then stops every question under way.
    ///
    /// # Errors
    ///
    /// When the listener fails.
    pub fn serve(&self, stop: &Arc<AtomicBool>) -> io::Result<()> {
        let (raised, wake) = (Arc::clone(stop), self.listener.local_addr()?);
        thread::spawn(move || {
            while !raised.load(Ordering::SeqCst) {
                thread::sleep(LOOK);
            }
            // The loop below waits for a connection; this one makes it look.
            let _ = TcpStream::connect(wake);
        });
        for stream in self.listener.incoming() {
            if stop.load(Ordering::SeqCst) {
                break;
            }
            // A connection that broke before it was taken is no reason to end.
            let Ok(mut stream) = stream else { continue };
            let shared = Arc::clone(&self.shared);
            if shared.connections.fetch_add(1, Ordering::SeqCst) >= CONNECTIONS {
                shared.connections.fetch_sub(1, Ordering::SeqCst);
                let _ = stream.set_write_timeout(Some(LOOK));
                let _ = Response::plain(503).send(&mut stream, false);
                continue;
            }
            thread::spawn(move || {
                let guard = Leaving(&shared.connections);
                shared.talk(stream);
                drop(guard);
            });
        }
        self.shared.desk.close();
        Ok(())
    }
}

/// Counts a connection down, also when its thread panics.
struct Leaving<'a>(&'a AtomicUsize);

impl Drop for Leaving<'_> {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::SeqCst);
    }
}

impl Shared {
    /// Answers the requests of one connection.
    fn talk(&self, mut stream: TcpStream) {
        let _ = stream.set_read_timeout(Some(SILENCE));
        let _ = stream.set_write_timeout(Some(SILENCE));
        let _ = stream.set_nodelay(true);
        let mut left = Vec::new();
        loop {
            match read(&mut stream, &mut left) {
                Ok(request) => {
                    let stays = request.stays;
                    if self.respond(&request).send(&mut stream, stays).is_err() || !stays {
                        return;
                    }
                }
                Err(Unread::Gone) => return,
                Err(Unread::Refused(status)) => {
                    let _ = Response::plain(status).send(&mut stream, false);
                    return;
                }
            }
        }
    }

    fn respond(&self, request: &Request) -> Response {
        if !self.in_time() {
            return Response::plain(429);
        }
        let hosts = [format!("127.0.0.1:{}", self.port), format!("localhost:{}", self.port)];
        if !hosts.contains(&request.host) {
            return Response::plain(403);
        }
        let own = |origin: &String| hosts.iter().any(|host| *origin == format!("http://{host}"));
        if !request.origin.as_ref().is_none_or(own) {
            return Response::plain(403);
        }
        let Some(name) = self.behind_token(&request.path) else { return Response::plain(404) };
        match request.method.as_str() {
            "GET" => self.get(name),
            "POST" => self.post(name, &request.body),
            _ => Response::plain(405),
        }
    }

    /// The part of a path after the token.
    fn behind_token<'p>(&self, path: &'p str) -> Option<&'p str> {
        let (token, name) = path.strip_prefix('/')?.split_once('/')?;
        let same = token.len() == self.token.len()
            && token.bytes().zip(self.token.bytes()).fold(0, |sum, (a, b)| sum | (a ^ b)) == 0;
        same.then_some(name)
    }

    /// Whether this second has room for one more request.
    fn in_time(&self) -> bool {
        let mut second = self.second.lock().unwrap_or_else(PoisonError::into_inner);
        if second.0.elapsed() >= Duration::from_secs(1) {
            *second = (Instant::now(), 0);
        }
        second.1 += 1;
        second.1 <= RATE
    }

    fn get(&self, name: &str) -> Response {
        if let Some((kind, text)) = file(name) {
            return Response::new(200, kind, text);
        }
        match name {
            "start" => json_response(200, &self.start()),
            _ => Response::plain(404),
        }
    }

    /// The knowledge of a page before its first question.
    fn start(&self) -> Value {
        let case = &self.desk.deck.case;
        json!({
            "program": concat!(env!("CARGO_PKG_NAME"), " ", env!("CARGO_PKG_VERSION")),
            "title": case.title,
            "file": self.desk.deck.name,
            "metal": case.material_name,
            "length": case.units.length_name(),
            "stress": case.units.stress_name(),
            "controls": self.desk.deck.controls,
            "colours": pack::colours(),
            "bounds": case.bracket,
            "sections": case.sections.iter().map(|beside| &beside.section.hole).collect::<Vec<_>>(),
            "warnings": case.warnings,
            "measured": measured(case),
            "lesson": self.lesson,
        })
    }

    fn post(&self, name: &str, body: &[u8]) -> Response {
        let question: Question = match serde_json::from_slice(body) {
            Ok(question) => question,
            Err(error) => {
                let value = json!({ "error": format!("this is no question: {error}") });
                return json_response(400, &value);
            }
        };
        let answered = match name {
            "solve" => self.solve(&question),
            "increments" => self.increments(&question),
            "bounds" => self.bounds(&question),
            "line" => self.line(&question),
            "section" => self.section(&question),
            "table" => self.table(&question),
            "case" => self.case(&question),
            "progress" => Ok(json_response(200, &json!(self.desk.share(question.page)))),
            _ => return Response::plain(404),
        };
        // The question was understood; that it has no answer is no fault of the request.
        answered.unwrap_or_else(|trouble| {
            Response::new(200, "application/problem+json", trouble.json().to_string())
        })
    }

    fn answer(&self, question: &Question) -> Result<Arc<Answer>, Trouble> {
        self.desk.answer(question.page, &question.moves()?, question.accuracy)
    }

    /// The answer that a line or a table is read from.
    fn look(&self, question: &Question) -> Result<Arc<Answer>, Trouble> {
        self.desk.look(question.page, &question.moves()?, question.accuracy)
    }

    fn solve(&self, question: &Question) -> Result<Response, Trouble> {
        let answer = self.answer(question)?;
        // A stage that this state does not have gives way to the last one.
        let stage = answer.stage(&question.stage).or_else(|_| answer.stage(""))?;
        Ok(binary(pack::answer(&answer, stage)))
    }

    fn increments(&self, question: &Question) -> Result<Response, Trouble> {
        let found = self.desk.increments(question.page, &question.moves()?)?;
        Ok(binary(pack::increments(&found, self.desk.deck.case.units)))
    }

    fn bounds(&self, question: &Question) -> Result<Response, Trouble> {
        let found = self.desk.bounds(question.page, &question.moves()?)?;
        Ok(binary(pack::bounds(&found, self.desk.deck.case.units)))
    }

    fn section(&self, question: &Question) -> Result<Response, Trouble> {
        Ok(binary(pack::section(&*self.section_answer(question)?)))
    }

    fn section_answer(&self, question: &Question) -> Result<Arc<SectionAnswer>, Trouble> {
        let Question { page, accuracy, ref hole, .. } = *question;
        self.desk.section(page, &question.moves()?, hole, accuracy)
    }

    fn line(&self, question: &Question) -> Result<Response, Trouble> {
        let answer = self.look(question)?;
        let stage = &answer.stages[answer.stage(&question.stage)?];
        let holes = &answer.job.plate.holes;
        let hole = if question.hole.is_empty() {
            (!holes.is_empty()).then_some(0)
        } else {
            holes.iter().position(|hole| hole.name == question.hole)
        };
        let hole =
            hole.ok_or_else(|| Trouble::Nothing(format!("there is no hole `{}`", question.hole)))?;
        let ends = question.line.map(|end| end.map(|x| x * answer.case.units.length_scale()));
        if ends.iter().flatten().any(|x| !x.is_finite()) {
            return Err(Trouble::Control("the ends of a line are finite numbers".to_owned()));
        }
        let sampler = Sampler::new(&stage.mesh, &stage.nodal, &stage.points, &answer.job);
        let points = sampler.line(hole, ends, LINE_STEPS);
        if points.is_empty() {
            return Err(Trouble::Nothing("no metal lies on that line".to_owned()));
        }
        Ok(binary(pack::line(&points, answer.case.units)))
    }

    fn table(&self, question: &Question) -> Result<Response, Trouble> {
        let text = match question.table.as_str() {
            "section" | "travel" => self.section_table(question)?,
            _ => self.plane_table(question)?,
        };
        Ok(Response::new(200, "text/csv; charset=utf-8", text))
    }

    fn section_table(&self, question: &Question) -> Result<String, Trouble> {
        let answer = self.section_answer(question)?;
        let (case, stages) = (&answer.case, &answer.stages);
        if question.table == "section" {
            return Ok(section_csv(case, stages));
        }
        let travel = stages.last().map_or(&[][..], |stage| &stage.snapshot.travel);
        Ok(travel_csv(case, travel))
    }

    fn plane_table(&self, question: &Question) -> Result<String, Trouble> {
        let answer = self.look(question)?;
        let units = answer.case.units;
        Ok(match question.table.as_str() {
            "paths" => csv::paths(&answer.stages, units),
            "headlines" => csv::headlines(&answer.summaries, units),
            "history" => csv::history(&answer.history, units),
            other => return Err(Trouble::Nothing(format!("there is no table `{other}`"))),
        })
    }

    fn case(&self, question: &Question) -> Result<Response, Trouble> {
        let text = self.desk.deck.text(&question.moves()?)?;
        Ok(Response::new(200, "text/plain; charset=utf-8", text))
    }
}

fn binary(bytes: Vec<u8>) -> Response {
    Response::new(200, "application/octet-stream", bytes)
}

fn json_response(status: u16, value: &Value) -> Response {
    Response::new(status, "application/json", value.to_string())
}

/// The measurements of a case in its units, for the chart.
fn measured(case: &Case) -> Vec<Value> {
    let first = case.job.plate.holes.first().map_or("", |hole| hole.name.as_str());
    let (length, stress) = (case.units.length_scale(), case.units.stress_scale());
    let one = |measured: &Measured| {
        let points = measured.points.iter().map(|point| {
            json!({
                "hole": point.hole.as_deref().unwrap_or(first),
                "angle": point.angle_deg,
                "at": [point.distance / length, point.stress / stress],
            })
        });
        json!({
            "label": measured.label,
            "component": measured.component.name(),
            "share": measured.face_share.unwrap_or(1.0),
            "points": points.collect::<Vec<_>>(),
        })
    };
    case.measured.iter().map(one).collect()
}
