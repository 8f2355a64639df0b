//! A bare static host, as a school's web space might be, that can be taken away.

use anyhow::Result;
use axum::Router;
use axum::extract::Request;
use axum::middleware::{Next, from_fn};
use std::net::{Ipv4Addr, SocketAddr};
use std::path::Path;
use std::time::Duration;
use tower_http::services::ServeDir;

const LATE: Duration = Duration::from_secs(3);

/// Serves the site's folder below a path, with no headers of its own, until stopped.
pub struct StaticHost {
    pub address: String,
    task: tokio::task::JoinHandle<()>,
}

impl StaticHost {
    /// `prefix` starts with a slash and does not end with one, or is empty.
    pub async fn start(prefix: &str) -> Result<StaticHost> {
        let folder = crate::given("HANDSTAND_SITE_FOLDER")?;
        StaticHost::serve(Path::new(&folder), prefix).await
    }

    /// As `start`, of another folder.
    pub async fn serve(folder: &Path, prefix: &str) -> Result<StaticHost> {
        let files = ServeDir::new(folder);
        let router = match prefix {
            "" => Router::new().fallback_service(files),
            _ => Router::new().nest_service(prefix, files),
        };
        StaticHost::run(router, prefix).await
    }

    /// As `start`, on a line on which the modules take so long that all else is there before them.
    pub async fn late() -> Result<StaticHost> {
        let folder = crate::given("HANDSTAND_SITE_FOLDER")?;
        let late = from_fn(async |asked: Request, next: Next| {
            if asked.uri().path().ends_with(".wasm") {
                tokio::time::sleep(LATE).await;
            }
            next.run(asked).await
        });
        let router = Router::new().fallback_service(ServeDir::new(folder));
        StaticHost::run(router.layer(late), "").await
    }

    async fn run(router: Router, prefix: &str) -> Result<StaticHost> {
        let listener =
            tokio::net::TcpListener::bind(SocketAddr::from((Ipv4Addr::LOCALHOST, 0))).await?;
        let address = format!("http://{}{prefix}/", listener.local_addr()?);
        let task = tokio::spawn(async move {
            if let Err(error) = axum::serve(listener, router).await {
                eprintln!("the host stopped: {error}");
            }
        });
        Ok(StaticHost { address, task })
    }

    /// From here on connections are refused.
    pub async fn stop(self) {
        self.task.abort();
        // Ended by the abort: the listener is closed once it has.
        let _ = self.task.await;
    }
}
