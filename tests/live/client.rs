//! A server of the live page and a client of its own: requests as bytes, answers with arrays.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use hoopset::live::deck::Deck;
use hoopset::live::server::Server;
use serde_json::Value;

pub(crate) const TOKEN: &str = "0123456789abcdef0123456789abcdef";

/// A server of its own, ended when it goes.
pub(crate) struct Page {
    pub(crate) port: u16,
    stop: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl Page {
    pub(crate) fn of(text: &str) -> Self {
        let deck = Deck::new(text, "case.toml").unwrap();
        let server = Server::new(deck, None, 0, TOKEN.to_owned()).unwrap();
        let address = server.address();
        let port = address.split([':', '/']).nth(4).unwrap().parse().unwrap();
        let stop = Arc::new(AtomicBool::new(false));
        let raised = Arc::clone(&stop);
        let thread = Some(thread::spawn(move || server.serve(&raised).unwrap()));
        Self { port, stop, thread }
    }

    pub(crate) fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(120))).unwrap();
        stream
    }

    /// Sends `text` as it is; status, head and body of what comes back.
    pub(crate) fn raw(&self, text: &[u8]) -> (u16, String, Vec<u8>) {
        let mut stream = self.connect();
        // A server that has refused closes while the rest is still being written.
        let _ = stream.write_all(text);
        answer_on(&mut stream)
    }

    pub(crate) fn get(&self, path: &str, host: &str, more: &str) -> (u16, String, Vec<u8>) {
        self.raw(
            format!("GET {path} HTTP/1.1\r\nHost: {host}\r\n{more}Connection: close\r\n\r\n")
                .as_bytes(),
        )
    }

    pub(crate) fn host(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }

    pub(crate) fn ask(&self, name: &str, question: &Value) -> (u16, String, Vec<u8>) {
        let body = question.to_string();
        self.raw(
            format!(
                "POST /{TOKEN}/{name} HTTP/1.1\r\nHost: {}\r\nContent-Length: {}\r\nConnection: close\r\n\r\n{body}",
                self.host(),
                body.len()
            )
            .as_bytes(),
        )
    }
}

impl Drop for Page {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::SeqCst);
        if let Some(thread) = self.thread.take() {
            thread.join().unwrap();
        }
    }
}

pub(crate) fn answer_on(stream: &mut TcpStream) -> (u16, String, Vec<u8>) {
    let mut bytes = Vec::new();
    let _ = stream.read_to_end(&mut bytes);
    let end = bytes.windows(4).position(|four| four == b"\r\n\r\n").expect("a head");
    let head = String::from_utf8(bytes[..end].to_vec()).unwrap();
    let status = head.split(' ').nth(1).unwrap().parse().unwrap();
    (status, head, bytes[end + 4..].to_vec())
}

/// The head of an answer with arrays.
pub(crate) fn head_of(body: &[u8]) -> Value {
    let length = u32::from_le_bytes(body[..4].try_into().unwrap()) as usize;
    serde_json::from_slice(&body[4..4 + length]).unwrap()
}

pub(crate) fn numbers(body: &[u8], name: &str) -> Vec<f64> {
    let length = u32::from_le_bytes(body[..4].try_into().unwrap()) as usize;
    let head = head_of(body);
    let entry = head["arrays"].as_array().unwrap().iter().find(|a| a["name"] == name).unwrap();
    let at = 4 + length + entry["at"].as_u64().unwrap() as usize;
    let count = entry["length"].as_u64().unwrap() as usize;
    assert_eq!((entry["type"].as_str(), at % 8), (Some("f64"), 0));
    body[at..at + 8 * count].chunks(8).map(|c| f64::from_le_bytes(c.try_into().unwrap())).collect()
}
