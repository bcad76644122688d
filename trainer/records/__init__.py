"""What is kept: models, migrations, named queries and the record log."""
