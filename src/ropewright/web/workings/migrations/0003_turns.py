import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
        ("workings", "0002_asked_for"),
    ]

    operations = [
        migrations.AddField("working", "begun", models.DateTimeField(blank=True, null=True)),
        migrations.AddField("working", "looked", models.DateTimeField(blank=True, null=True)),
        migrations.AddField(
            "working",
            "who",
            models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddIndex(
            "working",
            models.Index(
                condition=models.Q(("begun__isnull", False)),
                fields=["who", "kind", "begun"],
                name="workings_served",
            ),
        ),
    ]
