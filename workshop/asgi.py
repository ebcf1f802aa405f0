import os

from django.core.asgi import get_asgi_application

from workshop.prepare import prepare

prepare()
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "workshop.settings")
application = get_asgi_application()
