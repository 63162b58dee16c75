//! The listener on this computer alone: connections counted, requests read within their limits, each
//! admitted by the guard before anything looks at it.

use std::io::Write;
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Instant;

use super::guard::{Address, Asked, admit};
use super::http::{self, Bad, Response};
use super::idle::Idle;
use crate::store::{Error, io};
use crate::typeset::STACK;

/// Connections at once; a browser opens six and keeps one for events.
const MAX_CONNECTIONS: usize = 48;
/// Event streams among them.
const MAX_STREAMS: usize = 16;

/// Who answers.
pub(super) trait Answers: Send + Sync + 'static {
    /// What goes back.
    fn answer(&self, asked: &Asked, live: &Arc<Live>) -> Response;
}

/// What is shared by all connections.
pub(super) struct Live {
    address: Mutex<Address>,
    idle: Mutex<Idle>,
    connections: AtomicUsize,
    streams: AtomicUsize,
    stopped: AtomicBool,
    /// Told the address when it is a new one.
    tell: Box<dyn Fn(&str) + Send + Sync>,
    /// Tells the time that passes.
    now: Box<dyn Fn() -> Instant + Send + Sync>,
}

impl Live {
    /// The address now.
    pub(super) fn url(&self) -> String {
        self.address.lock().unwrap_or_else(PoisonError::into_inner).url()
    }

    fn address(&self) -> Address {
        self.address.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Locks the desk if nobody has used it for too long: the key changes, so that no page in any window
    /// is answered any more, and the terminal is told the new address.
    fn lock_if_idle(&self) -> bool {
        let now = (self.now)();
        let mut idle = self.idle.lock().unwrap_or_else(PoisonError::into_inner);
        if !idle.is_over(now) {
            return false;
        }
        *idle = Idle::since(now);
        drop(idle);
        let Ok(key) = io::key() else {
            self.stopped.store(true, Ordering::Relaxed);
            return true;
        };
        let mut address = self.address.lock().unwrap_or_else(PoisonError::into_inner);
        address.key = key;
        let url = address.url();
        drop(address);
        (self.tell)(&url);
        true
    }

    fn used(&self) {
        *self.idle.lock().unwrap_or_else(PoisonError::into_inner) = Idle::since((self.now)());
    }

    /// A stream of events may go on: the desk was neither ended nor locked since it began.
    pub(super) fn goes_on(&self, began_at: &str) -> bool {
        self.lock_if_idle();
        !self.stopped.load(Ordering::Relaxed) && self.url() == began_at
    }

    /// Ends everything.
    pub(super) fn stop(&self) {
        self.stopped.store(true, Ordering::Relaxed);
    }

    /// A place for a stream of events, if there is one left.
    pub(super) fn stream(self: &Arc<Live>) -> Option<Held> {
        Held::of(self, |live| &live.streams, MAX_STREAMS)
    }
}

/// A place among so many, free again when dropped.
pub(super) struct Held {
    live: Arc<Live>,
    counter: fn(&Live) -> &AtomicUsize,
}

impl Held {
    fn of(live: &Arc<Live>, counter: fn(&Live) -> &AtomicUsize, most: usize) -> Option<Held> {
        if counter(live).fetch_add(1, Ordering::SeqCst) >= most {
            counter(live).fetch_sub(1, Ordering::SeqCst);
            return None;
        }
        Some(Held { live: live.clone(), counter })
    }
}

impl Drop for Held {
    fn drop(&mut self) {
        (self.counter)(&self.live).fetch_sub(1, Ordering::SeqCst);
    }
}

/// A desk that listens.
pub(super) struct Server {
    listener: TcpListener,
    pub(super) live: Arc<Live>,
}

impl Server {
    /// Listens on a free port of this computer, behind a new key; `now` is the time that passes.
    ///
    /// # Errors
    /// No port, or no random bytes.
    pub(super) fn open(
        tell: impl Fn(&str) + Send + Sync + 'static,
        now: impl Fn() -> Instant + Send + Sync + 'static,
    ) -> Result<Server, Error> {
        let failed = |source| Error::io("listen on", "127.0.0.1", source);
        // A port that the system chooses; no other computer can reach this address.
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).map_err(failed)?;
        let port = listener.local_addr().map_err(failed)?.port();
        let live = Live {
            address: Mutex::new(Address { port, key: io::key()? }),
            idle: Mutex::new(Idle::since(now())),
            connections: AtomicUsize::new(0),
            streams: AtomicUsize::new(0),
            stopped: AtomicBool::new(false),
            tell: Box::new(tell),
            now: Box::new(now),
        };
        Ok(Server { listener, live: Arc::new(live) })
    }

    /// Answers until it is stopped.
    pub(super) fn serve(self, answers: &Arc<impl Answers>) {
        for stream in self.listener.incoming() {
            if self.live.stopped.load(Ordering::Relaxed) {
                return;
            }
            let Ok(mut stream) = stream else { continue };
            let Some(held) = Held::of(&self.live, |live| &live.connections, MAX_CONNECTIONS) else {
                let _ = stream.set_nonblocking(true);
                let _ = stream.write_all(
                    b"HTTP/1.1 503 Service Unavailable\r\nContent-Length: 0\r\nConnection: close\r\n\r\n",
                );
                continue;
            };
            let (live, answers) = (self.live.clone(), answers.clone());
            let work = move || {
                let _held = held;
                one(&mut stream, &live, &*answers);
            };
            // Where no thread can be started the connection is closed; the browser asks again.
            drop(std::thread::Builder::new().stack_size(STACK).spawn(work));
        }
    }
}

fn one(stream: &mut TcpStream, live: &Arc<Live>, answers: &impl Answers) {
    let request = match http::read(stream, http::REQUEST_WITHIN) {
        Ok(request) => request,
        Err(Bad::Gone) => return,
        Err(Bad::Status(status)) => return http::write(stream, Response::plain(status), true),
    };
    live.lock_if_idle();
    let is_head = request.method == "HEAD";
    let response = match admit(&request, &live.address()) {
        Err(status) => Response::plain(status),
        Ok(asked) => {
            // Events and pictures are asked for by the page, not by the person.
            let is_by_hand = asked.asks("live").is_none()
                && asked.path.last().is_none_or(|part| part != "live")
                && asked.path.first().is_none_or(|part| part != "page");
            if is_by_hand {
                live.used();
            }
            // A fault of ours is one page's fault, and says nothing of what it was about.
            catch_unwind(AssertUnwindSafe(|| answers.answer(&asked, live)))
                .unwrap_or_else(|_| Response::plain(500))
        }
    };
    http::write(stream, response, !is_head);
}

#[cfg(test)]
mod tests {
    use std::io::{BufRead, BufReader, Read};
    use std::sync::atomic::AtomicU64;
    use std::time::Duration;

    use super::super::guard::Asked;
    use super::*;

    /// Says that it answered; what is asked for as `live` goes on until the desk is locked.
    struct Short;

    impl Answers for Short {
        fn answer(&self, asked: &Asked, live: &Arc<Live>) -> Response {
            let mut response = Response::new(200, "text/plain", "here\n");
            if asked.path.last().is_some_and(|part| part == "live") {
                let (live, began_at) = (live.clone(), live.url());
                response.events = Some(Box::new(move |stream| {
                    while live.goes_on(&began_at) {
                        std::thread::yield_now();
                    }
                    let _ = stream.write_all(b"locked\n");
                }));
            }
            response
        }
    }

    fn ask(url: &str, path: &str) -> TcpStream {
        let (host, key) = url.trim_start_matches("http://").split_once('/').expect("a key");
        let mut stream = TcpStream::connect(host).expect("it listens");
        let request = format!("GET /{key}{path} HTTP/1.1\r\nHost: {host}\r\n\r\n");
        stream.write_all(request.as_bytes()).expect("sent");
        stream
    }

    fn status(url: &str, path: &str) -> String {
        let mut text = String::new();
        ask(url, path).read_to_string(&mut text).expect("answered");
        text.split(' ').nth(1).unwrap_or_default().to_owned()
    }

    #[test]
    fn nobody_there_for_ten_minutes_and_the_address_is_another() {
        let start = Instant::now();
        let passed = Arc::new(AtomicU64::new(0));
        let told: Arc<Mutex<Vec<String>>> = Arc::default();
        let (seconds, heard) = (passed.clone(), told.clone());
        let server = Server::open(
            move |url| heard.lock().expect("whole").push(url.to_owned()),
            move || start + Duration::from_secs(seconds.load(Ordering::SeqCst)),
        )
        .expect("a port");
        let live = server.live.clone();
        let serving = std::thread::spawn(move || server.serve(&Arc::new(Short)));
        let first = live.url();
        let mut events = BufReader::new(ask(&first, "live")).lines().map_while(Result::ok);
        assert!(events.any(|line| line == "here"));
        let at = |seconds: u64, url: &str, path: &str| {
            passed.store(seconds, Ordering::SeqCst);
            status(url, path)
        };
        // Each use begins the ten minutes anew; what the page asks for by itself is no use.
        assert_eq!(at(599, &first, ""), "200");
        assert_eq!(at(1198, &first, "case/A-1/who"), "200");
        assert_eq!(at(1797, &first, "page/0.svg"), "200");
        assert!(told.lock().expect("whole").is_empty());
        assert_eq!(at(1798, &first, ""), "404");
        assert_eq!(events.next().as_deref(), Some("locked"), "an open window is told");
        let told = told.lock().expect("whole").clone();
        assert_eq!(told, [live.url()], "the terminal alone is told the new address");
        assert_ne!(live.url(), first);
        assert_eq!((status(&live.url(), ""), status(&first, "")), ("200".to_owned(), "404".to_owned()));
        live.stop();
        // The listener waits for somebody to come: this is somebody.
        let address = live.url();
        let (host, _) = address.trim_start_matches("http://").split_once('/').expect("a key");
        drop(TcpStream::connect(host));
        serving.join().expect("it ends");
    }
}
