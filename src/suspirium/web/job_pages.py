"""Pages about background work: how far it is, stopping it."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from suspirium.web.desk import desk_of
from suspirium.web.jobs import Job
from suspirium.web.pages import fragment, page


def _job(request: Request) -> Job:
    job = desk_of(request).jobs.find(request.path_params["number"])
    if job is None:
        raise HTTPException(404)
    return job


def show(request: Request) -> Response:
    """The job's page, or only how far it is."""
    job = _job(request)
    if request.headers.get("x-part"):
        return fragment("_job.html", job=job)
    return page(request, "job.html", job=job)


def stop(request: Request) -> Response:
    """Stops the work."""
    job = _job(request)
    job.stop()
    return RedirectResponse(f"/jobs/{job.number}", 303)


routes = [
    Route("/jobs/{number}", show),
    Route("/jobs/{number}/stop", stop, methods=["POST"]),
]
