"""How Django knows this app."""

from django.apps import AppConfig


class DocumentsConfig(AppConfig):
    """The app of documents. Its table is gear's, beside what the documents are about."""

    name = "ropewright.web.documents"
    label = "documents"
