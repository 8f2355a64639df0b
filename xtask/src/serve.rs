//! The site on this machine, with the headers a careful host would send.

use anyhow::{Context, Result};
use axum::Router;
use axum::extract::Request;
use axum::http::{HeaderName, HeaderValue, header};
use axum::middleware::{Next, from_fn};
use axum::response::Response;
use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::path::PathBuf;
use tower_http::services::ServeDir;

const CONTENT_SECURITY_POLICY: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; \
     img-src 'self' data:; connect-src 'self'; worker-src 'self'; manifest-src 'self'; base-uri 'none'; \
     form-action 'none'; frame-ancestors 'none'";

/// Serves until the program is stopped.
pub fn run(site: PathBuf, port: Option<u16>) -> Result<()> {
    let listener = match port {
        Some(port) => listen(port).with_context(|| format!("port {port} is not free"))?,
        None => (8000..8100)
            .find_map(|port| listen(port).ok())
            .context("no port from 8000 to 8099 is free")?,
    };
    println!("Handstand is at http://{}/", listener.local_addr()?);
    serve(site, listener)
}

/// Serves from another thread for as long as this program runs; gives the address.
pub fn in_background(site: PathBuf) -> Result<String> {
    let listener = listen(0)?;
    let address = format!("http://{}/", listener.local_addr()?);
    std::thread::spawn(move || {
        if let Err(error) = serve(site, listener) {
            eprintln!("the server stopped: {error:#}");
        }
    });
    Ok(address)
}

fn listen(port: u16) -> std::io::Result<TcpListener> {
    TcpListener::bind(SocketAddr::from((Ipv4Addr::LOCALHOST, port)))
}

fn serve(site: PathBuf, listener: TcpListener) -> Result<()> {
    let files = ServeDir::new(site).precompressed_br().precompressed_gzip();
    let router = Router::new()
        .fallback_service(files)
        .layer(from_fn(with_headers));
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()?;
    runtime.block_on(async {
        listener.set_nonblocking(true)?;
        axum::serve(tokio::net::TcpListener::from_std(listener)?, router).await?;
        Ok(())
    })
}

async fn with_headers(request: Request, next: Next) -> Response {
    let lasting = is_hashed(request.uri().path());
    let mut response = next.run(request).await;
    let cache = if lasting && response.status().is_success() {
        "public, max-age=31536000, immutable"
    } else {
        "no-cache"
    };
    let mut set = |name: HeaderName, value| {
        response
            .headers_mut()
            .insert(name, HeaderValue::from_static(value))
    };
    set(header::CONTENT_SECURITY_POLICY, CONTENT_SECURITY_POLICY);
    set(header::X_CONTENT_TYPE_OPTIONS, "nosniff");
    set(header::REFERRER_POLICY, "no-referrer");
    set(header::CACHE_CONTROL, cache);
    response
}

/// Whether the path's name ends in the content hash that `site` gives, as in `app-0123456789abcdef.js`.
fn is_hashed(path: &str) -> bool {
    let stem = path
        .rsplit('/')
        .next()
        .and_then(|name| name.split('.').next())
        .unwrap_or_default();
    stem.rsplit_once('-').is_some_and(|(_, hash)| {
        hash.len() == 16 && hash.bytes().all(|digit| digit.is_ascii_hexdigit())
    })
}

#[cfg(test)]
mod tests {
    use super::is_hashed;

    #[test]
    fn only_names_with_a_content_hash_last() {
        assert!(is_hashed("/sub/app-0123456789abcdef.wasm"));
        for path in [
            "/",
            "/index.html",
            "/sw.js",
            "/lessons/1-carry.json",
            "/app-0123456789abcdeg.js",
        ] {
            assert!(!is_hashed(path), "{path}");
        }
    }
}
