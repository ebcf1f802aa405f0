"""What gunicorn serves. With in-process jobs, the one worker thread starts here too."""

import os
import sys

import django
from django.conf import settings
from django.core.wsgi import get_wsgi_application

from workshop.prepare import prepare

prepare()
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "workshop.settings")
django.setup()
from repairs.keep.starting import live_in, refuse_half_a_house  # noqa: E402 - only after the set-up
from repairs.screens.static_files import gather  # noqa: E402 - likewise

refuse_half_a_house()
live_in(settings.DATA_DIR)
gather()  # before the application is made, which looks once at what there is
application = get_wsgi_application()

from repairs.audit.starting import tell_if_behind  # noqa: E402 - likewise

tell_if_behind()
if "gunicorn.arbiter" in sys.modules and "workshop.serving" not in sys.modules:
    sys.stderr.write(
        "sautereau: gunicorn was started without “--config python:workshop.serving”: slow senders "
        "are not cut, and tokens of links may stand in its log.\n"
    )
if settings.JOBS_IN_PROCESS:
    from repairs.jobs.worker import start_in_this_process

    start_in_this_process()
