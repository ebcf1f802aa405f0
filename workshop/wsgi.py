"""What gunicorn serves. With in-process jobs, the one worker thread starts here too."""

import os

from django.conf import settings
from django.core.wsgi import get_wsgi_application

from workshop.prepare import prepare

prepare()
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "workshop.settings")
application = get_wsgi_application()

if settings.JOBS_IN_PROCESS:
    from repairs.jobs.worker import start_in_this_process

    start_in_this_process()
