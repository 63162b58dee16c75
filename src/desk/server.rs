//! The listener on this computer alone: connections counted, requests read within their limits, each
//! admitted by the guard before anything looks at it.

use std::io::Write;
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

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
        let now = io::stopwatch();
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
        *self.idle.lock().unwrap_or_else(PoisonError::into_inner) = Idle::since(io::stopwatch());
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
    /// Listens on a free port of this computer, behind a new key.
    ///
    /// # Errors
    /// No port, or no random bytes.
    pub(super) fn open(tell: impl Fn(&str) + Send + Sync + 'static) -> Result<Server, Error> {
        let failed = |source| Error::io("listen on", "127.0.0.1", source);
        // A port that the system chooses; no other computer can reach this address.
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).map_err(failed)?;
        let port = listener.local_addr().map_err(failed)?.port();
        let live = Live {
            address: Mutex::new(Address { port, key: io::key()? }),
            idle: Mutex::new(Idle::since(io::stopwatch())),
            connections: AtomicUsize::new(0),
            streams: AtomicUsize::new(0),
            stopped: AtomicBool::new(false),
            tell: Box::new(tell),
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
