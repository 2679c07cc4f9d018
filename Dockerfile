FROM node:22-slim AS web
WORKDIR /web
COPY web/package.json web/package-lock.json web/.npmrc ./
RUN npm ci
COPY web .
RUN npm run build

FROM python:3.11-slim
ENV PYTHONDONTWRITEBYTECODE=1 PYTHONUNBUFFERED=1
WORKDIR /app
COPY requirements.lock .
RUN pip install --no-cache-dir --require-hashes -r requirements.lock
COPY . .
COPY --from=web /web/built web/built
RUN python -m whitenoise.compress --quiet web/built && useradd --system app
USER app
CMD ["gunicorn", "-c", "python:config.gunicorn", "config.wsgi"]
