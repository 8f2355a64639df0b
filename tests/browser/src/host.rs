//! A bare static host, as a school's web space might be, that can be taken away.

use anyhow::Result;
use axum::Router;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::Path;
use tower_http::services::ServeDir;

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
