"""What is kept: models, migrations, folds and the record log."""
