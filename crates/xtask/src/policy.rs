//! What the browser is told with each answer: the content security policy, types, caching.

use std::path::Path;

/// The policy of the served page. Everything comes from the server itself; wasm may be compiled; strings become
/// code or markup only through the page's own `app` policy.
pub const SERVED: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; \
    img-src 'self'; connect-src 'self'; worker-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; \
    require-trusted-types-for 'script'; trusted-types app";

/// The policy of the single file: the same, but code and style are named by the hash of what they hold.
pub fn single_file(script_hashes: &[String], style_hashes: &[String]) -> String {
    let sources =
        |hashes: &[String]| hashes.iter().map(|h| format!("'sha256-{h}'")).collect::<Vec<_>>().join(" ");
    format!(
        "default-src 'none'; script-src {} 'wasm-unsafe-eval'; style-src {}; worker-src blob:; img-src data:; \
         base-uri 'none'; form-action 'none'; require-trusted-types-for 'script'; trusted-types app",
        sources(script_hashes),
        sources(style_hashes)
    )
}

/// The headers of every answer.
pub const HEADERS: [(&str, &str); 6] = [
    ("Content-Security-Policy", SERVED),
    ("X-Content-Type-Options", "nosniff"),
    ("Referrer-Policy", "no-referrer"),
    ("Cross-Origin-Opener-Policy", "same-origin"),
    ("Cross-Origin-Resource-Policy", "same-origin"),
    // Kept, but asked for each time: a rebuilt page is found at once, an unchanged one costs no transfer.
    ("Cache-Control", "no-cache"),
];

/// The type by the file's ending; nothing for a kind that the page does not have.
pub fn mime(file: &Path) -> Option<&'static str> {
    Some(match file.extension()?.to_str()? {
        "html" => "text/html; charset=utf-8",
        "js" | "mjs" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        // Any other type, and the browser refuses to compile while it loads.
        "wasm" => "application/wasm",
        "json" => "application/json",
        "webmanifest" => "application/manifest+json",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "jpg" => "image/jpeg",
        "ico" => "image/x-icon",
        "txt" => "text/plain; charset=utf-8",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neither_policy_lets_inline_or_foreign_code_in() {
        let single = single_file(&["AAA".into()], &["BBB".into()]);
        for policy in [SERVED, &single] {
            let directives: Vec<_> = policy.split(';').map(str::trim).collect();
            assert!(directives.contains(&"default-src 'none'"), "{policy}");
            assert!(directives.contains(&"base-uri 'none'"), "{policy}");
            assert!(!policy.contains("unsafe-inline") && !policy.contains("'unsafe-eval'"), "{policy}");
            assert!(!policy.contains('*') && !policy.contains("http"), "{policy}");
        }
        assert!(single.contains("script-src 'sha256-AAA' 'wasm-unsafe-eval';"), "{single}");
        assert!(single.contains("style-src 'sha256-BBB';"), "{single}");
    }

    #[test]
    fn types_are_the_ones_browsers_insist_on() {
        assert_eq!(mime(Path::new("a_bg.wasm")), Some("application/wasm"));
        assert_eq!(mime(Path::new("a.js")), Some("text/javascript; charset=utf-8"));
        assert_eq!(mime(Path::new("a.unknown")), None);
        assert_eq!(mime(Path::new("no-ending")), None);
    }
}
