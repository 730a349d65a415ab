"""What was bought, fed and paid for."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('barn', '0012_sheet_link'),
    ]

    operations = [
        migrations.CreateModel(
            name='Outlay',
            fields=[
                ('entry', models.UUIDField(primary_key=True, serialize=False)),
                ('sort', models.CharField(choices=[('bought', 'Bought'), ('fed', 'Fed'), ('other', 'Other')], max_length=6)),
                ('day', models.DateField()),
                ('from_day', models.DateField()),
                ('kg', models.FloatField(null=True)),
                ('amount', models.FloatField(null=True)),
                ('currency', models.CharField(blank=True, default='', max_length=8)),
                ('what', models.CharField(blank=True, default='', max_length=80)),
                ('row', models.CharField(blank=True, default='', max_length=40)),
                ('brood', models.UUIDField(null=True)),
                ('line', models.UUIDField(null=True)),
                ('part', models.CharField(blank=True, default='', max_length=10)),
                ('farm', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to='barn.farm')),
            ],
            options={
                'indexes': [models.Index(fields=['farm', 'day'], name='barn_outlay_farm_id_25c62e_idx')],
            },
        ),
    ]
