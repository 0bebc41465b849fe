//! Serving the built page on this machine: the loopback address only, GET and HEAD only, nothing outside the folder.

use crate::npm::hex;
use crate::policy;
use crate::say::{step, stop};
use anyhow::Result;
use sha2::{Digest, Sha256};
use std::io::Cursor;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;
use tiny_http::{Header, Method, Request, Response};

/// Where the search for a free port begins when none is asked for.
const PORT: u16 = 8630;
/// How many ports are tried.
const TRIES: u16 = 20;
/// A browser opens up to six connections to one server.
const WORKERS: usize = 6;

/// A listening server.
pub struct Server {
    http: Arc<tiny_http::Server>,
    address: SocketAddr,
    root: PathBuf,
}

impl Server {
    /// Listens on `port`, or on the first free one from the usual on.
    ///
    /// # Errors
    /// When the port asked for, or each one tried, is taken.
    pub fn open(root: PathBuf, port: Option<u16>) -> Result<Server> {
        if let Some(port) = port {
            return listen(&root, port).ok_or_else(|| {
                stop(format!("port {port} is taken or may not be used"), "give another, or none: --port 8700")
            });
        }
        for port in PORT..PORT + TRIES {
            if let Some(server) = listen(&root, port) {
                return Ok(server);
            }
            step("serve", &format!("port {port} is taken, trying the next"));
        }
        Err(stop(format!("ports {PORT} to {} are taken", PORT + TRIES - 1), "give a free one: --port 9000"))
    }

    /// Listens on whatever port the system gives.
    ///
    /// # Errors
    /// When it gives none.
    pub fn on_any_port(root: PathBuf) -> Result<Server> {
        listen(&root, 0)
            .ok_or_else(|| stop("the system gives no port on the loopback address", "see its limits"))
    }

    /// What to type into the browser.
    pub fn address(&self) -> String {
        format!("http://{}/", self.address)
    }

    /// Answers for as long as the process lives.
    pub fn run(&self) {
        std::thread::scope(|scope| {
            for _ in 0..WORKERS {
                scope.spawn(|| {
                    while let Ok(request) = self.http.recv() {
                        respond(&self.root, request);
                    }
                });
            }
        });
    }
}

fn listen(root: &Path, port: u16) -> Option<Server> {
    let http = tiny_http::Server::http((Ipv4Addr::LOCALHOST, port)).ok()?;
    let address = http.server_addr().to_ip()?;
    Some(Server { http: Arc::new(http), address, root: root.to_owned() })
}

fn respond(root: &Path, request: Request) {
    let tag = request.headers().iter().find(|h| h.field.equiv("If-None-Match")).map(|h| h.value.to_string());
    let answer = answer(root, request.method(), request.url(), tag.as_deref());
    let headers =
        answer.headers.iter().filter_map(|(n, v)| Header::from_bytes(n.as_bytes(), v.as_bytes()).ok());
    let length = Some(answer.body.len());
    let response =
        Response::new(answer.status.into(), headers.collect(), Cursor::new(answer.body), length, None);
    // The browser may have gone away meanwhile; there is nobody to tell.
    request.respond(response).ok();
}

struct Answer {
    status: u16,
    headers: Vec<(&'static str, String)>,
    body: Vec<u8>,
}

/// The answer to one request. Read from the disk each time, so that a rebuild shows without a restart.
fn answer(root: &Path, method: &Method, url: &str, had: Option<&str>) -> Answer {
    let mut headers: Vec<_> = policy::HEADERS.iter().map(|&(n, v)| (n, v.to_owned())).collect();
    let plain = |status: u16, mut headers: Vec<(&'static str, String)>, text: &str| {
        headers.push(("Content-Type", "text/plain; charset=utf-8".to_owned()));
        Answer { status, headers, body: text.as_bytes().to_vec() }
    };
    if !matches!(method, Method::Get | Method::Head) {
        headers.push(("Allow", "GET, HEAD".to_owned()));
        return plain(405, headers, "only GET and HEAD\n");
    }
    let found = file(root, url).and_then(|file| Some((std::fs::read(&file).ok()?, policy::mime(&file)?)));
    let Some((body, mime)) = found else { return plain(404, headers, "not found\n") };
    let tag = format!("\"{}\"", hex(&Sha256::digest(&body)[..16]));
    headers.push(("ETag", tag.clone()));
    if had.is_some_and(|had| had.split(',').any(|one| one.trim().trim_start_matches("W/") == tag)) {
        return Answer { status: 304, headers, body: Vec::new() };
    }
    headers.push(("Content-Type", mime.to_owned()));
    Answer { status: 200, headers, body }
}

/// The file an address means, if it is one inside the folder: no step upwards however it is written, nothing
/// hidden, no link that leads out.
fn file(root: &Path, url: &str) -> Option<PathBuf> {
    let path = url.split(['?', '#']).next()?.strip_prefix('/')?;
    let path = decoded(path)?;
    if path.contains(['\\', '\0', ':']) {
        return None;
    }
    let relative = if path.is_empty() { Path::new("index.html") } else { Path::new(&path) };
    for part in relative.components() {
        match part {
            Component::Normal(name) if !name.to_string_lossy().starts_with('.') => {}
            _ => return None,
        }
    }
    let root = root.canonicalize().ok()?;
    let full = root.join(relative).canonicalize().ok()?;
    (full.starts_with(&root) && full.is_file()).then_some(full)
}

/// Resolves `%41`; nothing for what is not well formed.
fn decoded(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        bytes.push(match byte {
            b'%' => {
                let mut digit = || char::from(rest.next()?).to_digit(16);
                u8::try_from(digit()? * 16 + digit()?).ok()?
            }
            other => other,
        });
    }
    String::from_utf8(bytes).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A folder with a page, and a secret beside it.
    struct Site(PathBuf);

    impl Site {
        fn new(name: &str) -> Site {
            let base = std::env::temp_dir().join(format!("bledsteam-{name}-{}", std::process::id()));
            std::fs::create_dir_all(base.join("www/src")).unwrap();
            std::fs::write(base.join("www/index.html"), "<!doctype html>").unwrap();
            std::fs::write(base.join("www/src/a b.js"), "1").unwrap();
            std::fs::write(base.join("www/.hidden.js"), "hidden").unwrap();
            std::fs::write(base.join("secret.txt"), "secret").unwrap();
            Site(base)
        }

        fn get(&self, url: &str) -> Answer {
            answer(&self.0.join("www"), &Method::Get, url, None)
        }
    }

    impl Drop for Site {
        fn drop(&mut self) {
            std::fs::remove_dir_all(&self.0).ok();
        }
    }

    fn header<'a>(answer: &'a Answer, name: &str) -> Option<&'a str> {
        answer.headers.iter().find(|(n, _)| *n == name).map(|(_, v)| v.as_str())
    }

    #[test]
    fn every_answer_carries_policy_and_nosniff() {
        let site = Site::new("headers");
        for (url, status) in [("/", 200), ("/nothing.js", 404)] {
            let answer = site.get(url);
            assert_eq!(answer.status, status);
            assert_eq!(header(&answer, "Content-Security-Policy"), Some(policy::SERVED));
            assert_eq!(header(&answer, "X-Content-Type-Options"), Some("nosniff"));
            assert_eq!(header(&answer, "Cache-Control"), Some("no-cache"));
        }
    }

    #[test]
    fn files_inside_are_served_with_their_type() {
        let site = Site::new("inside");
        assert_eq!(header(&site.get("/?x=1"), "Content-Type"), Some("text/html; charset=utf-8"));
        let script = site.get("/src/a%20b.js");
        assert_eq!((script.status, script.body.as_slice()), (200, b"1".as_slice()));
    }

    #[test]
    fn no_way_leads_out_of_the_folder() {
        let site = Site::new("outside");
        for url in [
            "/../secret.txt",
            "/src/../../secret.txt",
            "/%2e%2e/secret.txt",
            "/..%2fsecret.txt",
            "/..%5csecret.txt",
            "//etc/passwd",
            "/%2fetc/passwd",
            "/.hidden.js",
            "/src",
            "/%",
            "/%zz",
            "/%00",
            "/%ff",
            "secret.txt",
            "",
        ] {
            assert_eq!(site.get(url).status, 404, "{url}");
        }
        #[cfg(unix)]
        {
            std::os::unix::fs::symlink(site.0.join("secret.txt"), site.0.join("www/link.txt")).unwrap();
            assert_eq!(site.get("/link.txt").status, 404);
        }
    }

    #[test]
    fn an_unchanged_file_is_not_sent_again() {
        let site = Site::new("etag");
        let first = site.get("/");
        let tag = header(&first, "ETag").unwrap();
        let root = site.0.join("www");
        let again = answer(&root, &Method::Get, "/", Some(tag));
        assert_eq!((again.status, again.body.len()), (304, 0));
        assert_eq!(answer(&root, &Method::Get, "/", Some(&format!("W/{tag}, \"x\""))).status, 304);
        std::fs::write(root.join("index.html"), "<!doctype html>changed").unwrap();
        assert_eq!(answer(&root, &Method::Get, "/", Some(tag)).status, 200);
    }

    #[test]
    fn only_reading_is_allowed() {
        let site = Site::new("methods");
        for method in [Method::Post, Method::Put, Method::Delete, Method::Options] {
            let answer = answer(&site.0.join("www"), &method, "/", None);
            assert_eq!((answer.status, header(&answer, "Allow")), (405, Some("GET, HEAD")));
        }
        assert_eq!(answer(&site.0.join("www"), &Method::Head, "/", None).status, 200);
    }

    #[test]
    fn a_taken_port_is_an_error_when_asked_for_and_passed_over_when_not() {
        let site = Site::new("ports");
        let first = Server::on_any_port(site.0.clone()).unwrap();
        let taken = first.address.port();
        let error = Server::open(site.0.clone(), Some(taken)).err().unwrap().to_string();
        assert!(error.contains(&taken.to_string()) && error.contains("--port"), "{error}");
        let usual = Server::open(site.0.clone(), None).unwrap();
        let next = Server::open(site.0.clone(), None).unwrap();
        assert!(next.address.port() > usual.address.port());
    }

    #[test]
    fn it_answers_over_a_connection() {
        use std::io::{Read, Write};
        let site = Site::new("connection");
        let server = Server::on_any_port(site.0.join("www")).unwrap();
        assert!(server.address.ip().is_loopback());
        let http = Arc::clone(&server.http);
        std::thread::scope(|scope| {
            scope.spawn(|| server.run());
            let ask = |text: &str| {
                let mut stream = std::net::TcpStream::connect(server.address).unwrap();
                stream.write_all(text.as_bytes()).unwrap();
                let mut answer = String::new();
                stream.read_to_string(&mut answer).unwrap();
                answer
            };
            let get = ask("GET / HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n");
            let head = ask("HEAD / HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n");
            for _ in 0..WORKERS {
                http.unblock();
            }
            assert!(get.starts_with("HTTP/1.1 200") && get.ends_with("<!doctype html>"), "{get}");
            assert!(head.starts_with("HTTP/1.1 200") && head.ends_with("\r\n\r\n"), "{head}");
        });
    }
}
